"""The words of findings and their places, in the order of `recordings.analysis.sentences`."""

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from repertoire.notation.sentence import PitchName
from repertoire.wording.pitch_names import pitch_words
from repertoire.wording.templates import Plural, Template


def _several(note: PitchName) -> str:
    """ "F sharps", and "E notes" where "Es" could not be read."""
    several = gettext("%(note)s notes") if not note.alter else gettext("%(note)ss")
    return several % {"note": pitch_words(note)}


FINDINGS: dict[str, Template] = {
    "repeats.nothing_heard": _("Nothing of this piece was recognised."),
    "repeats.none_asked": _("No repeats asked for, none played."),
    "repeats.all_played": _("All repeats were played."),
    "repeats.none_played": _("No repeat was played (asked for: {bars})."),
    "repeats.left_out": _("Played fewer times than asked for: bars {bars}."),
    "repeats.added": _("Played again though no repeat was asked for: bars {bars}."),
    "note.instrument": _("Pitch is not judged on this instrument."),
    "note.trill": _("Trill: the pitch is not judged."),
    "note.tremolo": _("Tremolo: the pitch is not judged."),
    "note.several_notes": _("Several notes sound together: the pitch is not judged."),
    "note.grace": _("Grace note: not judged."),
    "note.short": _("Too short for its pitch to be measured."),
    "note.uncertain": _("It is not certain that this note was heard."),
    "note.unclear_pitch": _("The pitch is not clear enough to be measured."),
    "note.wrong_pitch": _("Another note was heard here."),
    "note.heard_right": _("Heard as printed by the teacher."),
    "place.bar_inside": _("bar {bars}"),
    "place.bars_inside": _("bars {bars}"),
    "place.bar": _("Bar {bar}"),
    "place.bars": _("Bars {first} to {last}"),
    "place.bar_list": _("Bars {bars}"),
    "place.many": _("In many places (bars {bars} and others)"),
    "finding.nothing": _(
        "This piece was not recognised in the recording. Is it the right recording, and the right page?"
    ),
    "finding.sounds_higher": Plural(
        "The whole take sounds a semitone higher than printed.",
        "The whole take sounds {count} semitones higher than printed.",
    ),
    "finding.sounds_lower": Plural(
        "The whole take sounds a semitone lower than printed.",
        "The whole take sounds {count} semitones lower than printed.",
    ),
    "finding.stopped": _("The take ends in bar {bar}. Not played: {bars}."),
    "finding.stopped_allowed": _(
        "The take ends in bar {bar}, which is allowed here: the judges may stop anywhere."
    ),
    "finding.stopped_again": _("The take ends in bar {bar} of the repeat. Not played again: {bars}."),
    "finding.not_followed_on": _(
        "From bar {bar} on this recording could not be followed, though something sounds. What comes "
        "after is not measured; please listen."
    ),
    "finding.not_followed": _(
        "Bar {bar}: for about {seconds} seconds something sounds that could not be followed as this "
        "music; please listen."
    ),
    "finding.began_late": _("The take begins at bar {bar}. Not played: {bars}."),
    "finding.left_out": _("{place}: not played."),
    "finding.left_out_once": _("{place}: left out once."),
    "finding.repeat_left_out": Plural(
        "The repeat of {bars} is not played, though it is asked for.",
        "The repeats of {bars} are not played, though they are asked for.",
    ),
    "finding.jump_left_out": _("The way back (da capo or dal segno) is not taken: {bars} not played again."),
    "finding.repeat_added": _("Played again, though no repeat is asked for: {bars}."),
    "finding.began_in_repeat": Plural(
        "The take begins at bar {bar}; {bars} is heard only with the repeat.",
        "The take begins at bar {bar}; {bars} are heard only with the repeat.",
    ),
    "finding.played_on": _("Played on past what is asked: {bars} as well."),
    "finding.began_before": _("Begun before what is asked: {bars} as well."),
    "finding.cut_not_made": _("Played, though left out of what is asked: {bars}."),
    "finding.restart": _("A new start from bar {bar}, after a stop in bar {from_bar}."),
    "finding.played_through_again": _("Played to the end, then once more from bar {bar}."),
    "finding.begun_again": _("{place}: some notes are taken up again, about {seconds} seconds in all."),
    "finding.wrong": _("{place}: the {printed} sounds as {heard}."),
    "finding.wrong_unsure": _("{place}: the {printed} may have been another note; please listen."),
    "finding.wrong_several": _("{place}: {count} notes other than the printed ones."),
    "finding.missing": _("{place}: the {printed} is not heard."),
    "finding.missing_several": _("{place}: {count} notes are not heard."),
    "finding.drift_up": _(
        "The pitch of the whole take rises by about {cents} cents from beginning to end ({count} notes)."
    ),
    "finding.drift_down": _(
        "The pitch of the whole take sinks by about {cents} cents from beginning to end ({count} notes)."
    ),
    "finding.wanders": _(
        "{place}: the {notes} change from one to the next, from {low} cents low to {high} high ({count} "
        "notes)."
    ),
    "finding.slow": _("The tempo is {bpm}, about {percent} % of the marked {marked}."),
    "finding.fast": _("The tempo is {bpm}, about {percent} % of the marked {marked}: faster than asked."),
    "finding.rushing": _("From bar {bar} on the tempo runs ahead, from about {first} to {last}."),
    "finding.dragging": _("From bar {bar} on the tempo sinks, from about {first} to {last}."),
    "finding.stretch_fast": _("{place}: hurried, about {bpm} where the rest is at {median}."),
    "finding.stretch_slow": _("{place}: slower, about {bpm} where the rest is at {median}."),
    "finding.hesitation": _("{place}: a hesitation of about {seconds} seconds."),
    "finding.uneven": _("{place}: the run is uneven; of {count} notes some are hurried, others held."),
    "finding.dotted_soft": _("{place}: the dotted rhythm softens towards a triplet."),
    "finding.dotted_sharp": _("{place}: the dotted rhythm is sharper than printed."),
    "finding.long_short_even": _(
        "{place}: long and short notes come out nearly even; the long one is twice the short."
    ),
    "finding.long_short_sharp": _(
        "{place}: the short notes come late, as if dotted; the long one is twice the short."
    ),
    "finding.snap_soft": _(
        "{place}: the short-long rhythm softens; the first note is a quarter of the whole."
    ),
    "finding.snap_sharp": _("{place}: the short-long rhythm is sharper than printed."),
    "finding.new_tempo": _(
        "{place}: the new tempo would be about {asked} after this beginning; it goes from {before} to "
        "{after}."
    ),
    "finding.a_tempo": _(
        "{place}: after the a tempo the beat is about {after}; before the change it was {before}."
    ),
    "finding.no_change": _(
        "{place}: the printed {words} is hardly heard ({before} before, {after} at its end)."
    ),
    "finding.opening_slow": _("{place}: the opening is at about {first}, slower than the rest at {rest}."),
    "finding.opening_fast": _("{place}: the opening is at about {first}, faster than the rest at {rest}."),
    "finding.levels": _(
        "From the {first} in bar {first_bar} to the {second} in bar {second_bar} the loudness hardly "
        "follows ({change:+} dB)."
    ),
    "finding.accents": _("The {count} accented notes hardly stand out from the notes around them."),
    "finding.slurs": _(
        "Under the slurs the notes stand apart, sounding for about {percent} % of the time to the next."
    ),
    "finding.staccato": _(
        "The staccato notes sound nearly full length (about {percent} % of the time to the next note)."
    ),
    "finding.unsure": _("{finding} (Not certain; please listen.)"),
    "finding.pitch_several_low": _(
        "{place}: the {notes} sit about {cents} cents low, {off} of {count} of them."
    ),
    "finding.pitch_all_low": _("{place}: the {notes} sit about {cents} cents low, all {count} of them."),
    "finding.pitch_both_low": _("{place}: both {notes} sit about {cents} cents low."),
    "finding.pitch_single_low": _("{place}: the {note} is about {cents} cents low."),
    "finding.pitch_stretch_low": _(
        "{place}: the whole passage lies about {cents} cents low ({count} notes)."
    ),
    "finding.habit_leap_up_low": _("The leaps up arrive about {cents} cents low: {off} of {count} notes."),
    "finding.habit_leap_down_low": _(
        "The leaps down arrive about {cents} cents low: {off} of {count} notes."
    ),
    "finding.habit_step_up_low": _("Steps upwards land about {cents} cents low: {off} of {count} notes."),
    "finding.habit_step_down_low": _("Steps downwards land about {cents} cents low: {off} of {count} notes."),
    "finding.habit_low_low": _(
        "The low notes, up to {note}, lie about {cents} cents low: {off} of {count} notes."
    ),
    "finding.habit_high_low": _(
        "The high notes, from {note} up, lie about {cents} cents low: {off} of {count} notes."
    ),
    "finding.pitch_several_high": _(
        "{place}: the {notes} sit about {cents} cents high, {off} of {count} of them."
    ),
    "finding.pitch_all_high": _("{place}: the {notes} sit about {cents} cents high, all {count} of them."),
    "finding.pitch_both_high": _("{place}: both {notes} sit about {cents} cents high."),
    "finding.pitch_single_high": _("{place}: the {note} is about {cents} cents high."),
    "finding.pitch_stretch_high": _(
        "{place}: the whole passage lies about {cents} cents high ({count} notes)."
    ),
    "finding.habit_leap_up_high": _("The leaps up arrive about {cents} cents high: {off} of {count} notes."),
    "finding.habit_leap_down_high": _(
        "The leaps down arrive about {cents} cents high: {off} of {count} notes."
    ),
    "finding.habit_step_up_high": _("Steps upwards land about {cents} cents high: {off} of {count} notes."),
    "finding.habit_step_down_high": _(
        "Steps downwards land about {cents} cents high: {off} of {count} notes."
    ),
    "finding.habit_low_high": _(
        "The low notes, up to {note}, lie about {cents} cents high: {off} of {count} notes."
    ),
    "finding.habit_high_high": _(
        "The high notes, from {note} up, lie about {cents} cents high: {off} of {count} notes."
    ),
    "finding.triplets_first": _(
        "{place}: the three notes of the triplets are not alike; the first is the longest."
    ),
    "finding.triplets_second": _(
        "{place}: the three notes of the triplets are not alike; the second is the longest."
    ),
    "finding.triplets_third": _(
        "{place}: the three notes of the triplets are not alike; the third is the longest."
    ),
    "finding.crescendo": _("{place}: the printed crescendo is hardly heard ({change:+} dB)."),
    "finding.crescendo_against": _("{place}: the printed crescendo goes the other way ({change:+} dB)."),
    "finding.diminuendo": _("{place}: the printed diminuendo is hardly heard ({change:+} dB)."),
    "finding.diminuendo_against": _("{place}: the printed diminuendo goes the other way ({change:+} dB)."),
    "finding.uneven_and_more": _(
        "{place}: the run is uneven; of {count} notes some are hurried, others held. ({more} more like it.)"
    ),
    "finding.recording": _("The recording makes some things hard to hear. {what}"),
    "sentence.several": _several,
    "sentence.both": _("{first} {second}"),
}
