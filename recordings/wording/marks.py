"""The words of what is secure, of what got better, and of what stands beside suggested marks."""

from django.utils.translation import gettext_noop as _

from repertoire.wording.templates import Plural, Template

MARKS: dict[str, Template] = {
    "strength.pitch": _("Secure intonation: {percent} % of the measured notes lie within {cents} cents."),
    "strength.pitch_all": _("Secure intonation: every measured note lies within {cents} cents."),
    "strength.secure_bars": _("{place}: all {count} measured notes lie within {cents} cents of pitch."),
    "strength.steady": _("A steady pulse throughout, around {bpm}."),
    "strength.complete": _("Every printed note is there."),
    "strength.hairpins": _("The printed crescendos and diminuendos are clearly heard."),
    "progress.better": _("Better than last time: {what}."),
    "progress.pitch": _("the {notes} in {bars} are nearer, {now} cents off instead of {then}"),
    "progress.whole": _("half of all notes now lie within {now} cents, {then} last time"),
    "progress.steady": _("a steadier pulse, {now} % from bar to bar instead of {then} %"),
    "progress.tempo": _("the tempo is nearer to what is asked, {now} after {then}"),
    "mark.ear": _("For the ear."),
    "mark.ear_beside": _("For the ear. Beside it: {facts}."),
    "mark.ear_steady": _("long notes hold their pitch within {cents} cents ({count} notes)"),
    "mark.ear_even": _("brightness varies by {percent} % from note to note"),
    "mark.ear_clear": _("the tone stands {db} dB above bow, breath and room"),
    "mark.ear_range": _("{db} dB between the soft and the loud notes"),
    "mark.ear_hairpins": _("{heard} of {count} printed crescendos and diminuendos heard"),
    "mark.ear_vibrato": _("vibrato about {rate} times a second, {cents} cents to each side ({count} notes)"),
    "mark.too_little": _("Too little could be measured for a suggestion."),
    "mark.together": _("{count} notes that sound together are left to the ear."),
    "mark.not_judged": _("Intonation is not judged here."),
    "mark.intonation": _(
        "{share} % of {count} measured notes within {cents} cents; {mean} cents off on average."
    ),
    "mark.rhythm": _(
        "Notes lie within about {ms} ms of the player's own beat; {stops} hesitations or new starts."
    ),
    "mark.tempo": _("{bpm}, {percent} % of the mark; steady within {steady} %."),
    "mark.tempo_no_mark": _("{bpm}; steady within {steady} %."),
    "mark.not_followed": _(
        "A part of this recording could not be followed, so no mark is suggested: please judge by ear."
    ),
    "mark.accuracy": _(
        "{right} of {count} printed notes as printed; {wrong} other notes, {missing} not heard."
    ),
    "progress.slips_gone": Plural("the slip in bar {bars} is gone", "the slips in bars {bars} are gone"),
    "progress.stops": Plural("no stop on the way any more", "none of the {count} stops of last time"),
    "progress.also": _("{first}; {rest}"),
}
