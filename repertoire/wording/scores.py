"""The words of what `repertoire.notation` says: why a score is refused, what was mended, what is asked."""

from django.utils.translation import gettext_noop as _

from repertoire.wording.instruments import instrument_name
from repertoire.wording.templates import Plural, Template

SCORES: dict[str, Template] = {
    "score.empty_file": _("The file is empty."),
    "score.too_big": _(
        "The file is larger than {megabytes} MB, which is more than a score of one part needs."
    ),
    "score.not_musicxml": _(
        "This is not a MusicXML file, nor MIDI, ABC or kern. Please export the score as .musicxml or .mxl "
        "from your notation program."
    ),
    "score.wrong_kind": _("This is {kind}, not MusicXML. Please export the score as .musicxml or .mxl."),
    "score.midi_bare": _(
        "A MIDI file holds no slurs, dynamics or articulation, and its note values are rounded: please look "
        "the engraved music over."
    ),
    "score.midi_key_guessed": _("The file names no key, so the key signature was taken from its notes."),
    "score.midi_metre_guessed": _("The file names no time signature, so it is written in 4/4."),
    "score.midi_broken": _("The MIDI file breaks off or is damaged; please export it again."),
    "score.midi_broken_track": _(
        "Track {track} of the MIDI file breaks off or is damaged; please export it again."
    ),
    "score.midi_no_beats": _(
        "The MIDI file does not count in beats, so no bars can be made of it; please export MusicXML."
    ),
    "score.midi_long": _("The MIDI file is longer than 2000 bars; please send only the excerpt."),
    "score.midi_many": _(
        "The MIDI file holds far more than a score of one part needs; please send only the excerpt."
    ),
    "score.midi_percussion": _(
        "The MIDI file holds only percussion without pitch, which cannot be measured."
    ),
    "score.abc_tunes": Plural(
        "The ABC file holds {count} tune; please send the one that is to be played.",
        "The ABC file holds {count} tunes; please send the one that is to be played.",
    ),
    "score.abc_voice_inside": _(
        "Line {line} changes to another voice in its middle; please begin a new line with [V:] there."
    ),
    "score.abc_layers": _(
        "Bar {bar}: two layers joined by & cannot be read; please write them as two voices (V:)."
    ),
    "score.abc_sign": _(
        "Bar {bar} (line {line}): “{sign}” is no sign of ABC music; please check this place."
    ),
    "score.kern_none": _("The Humdrum file has no **kern column, so there are no notes to read."),
    "score.kern_breaks_off": _(
        "The kern file breaks off after bar {bar} (no *- at its end); please export it again."
    ),
    "score.foreign_broken": _(
        "The {kind} file could not be understood; please check it, or export the score as MusicXML."
    ),
    "score.uneven_bars": _("These bars do not fill their time signature: {bars}. Please check them."),
    "score.choice_unknown": _("This part is not in the score; please choose again."),
    "score.timewise": _(
        "The score is written bar by bar across parts (score-timewise); please export it part by part."
    ),
    "score.opus": _("The file lists several scores; please export the one score that is to be played."),
    "score.zip_damaged": _("The .mxl file is damaged and cannot be unpacked; please export it again."),
    "score.zip_locked": _("The zipped file is locked with a password; please export it without one."),
    "score.zip_many": _("The zipped file holds {count} files, more than a score needs (at most {limit})."),
    "score.zip_path": _("The zipped file names a file outside itself, so it was not opened."),
    "score.zip_no_score": _("The .mxl file holds no score; please export it again."),
    "score.zip_blows_up": _("The zipped file unpacks to more than {megabytes} MB, so it was not opened."),
    "score.entities": _(
        "The file defines its own abbreviations (XML entities), which a score never needs; it was not opened."
    ),
    "score.broken_at_bar": _(
        "The file breaks off or is damaged after bar {bar} (line {line}); please export it again."
    ),
    "score.broken_at_line": _("The file breaks off or is damaged at line {line}; please export it again."),
    "score.too_deep": _("The file is nested far deeper than a score is, so it was not read."),
    "score.too_many_elements": _(
        "The file holds far more than a score of one part needs, so it was not read."
    ),
    "score.too_many_measures": _(
        "The part has {count} bars; at most {limit} can be read. Please send only the excerpt."
    ),
    "score.too_many_notes": _(
        "The part has {count} notes; at most {limit} can be read. Please send only the excerpt."
    ),
    "score.no_parts": _("The score has no part with bars in it."),
    "score.no_notes": _("The score has no notes with a pitch."),
    "score.part_not_found": _("The score has no part called {part}; it has {parts}."),
    "score.part_no_notes": _("The part {part} has no notes with a pitch."),
    "score.no_divisions": _(
        "Bar {bar}: the file does not say how long its notes are; please export it again."
    ),
    "score.bad_length": _("Bar {bar}: a note has no readable length; please export the score again."),
    "score.bad_pitch": _("Bar {bar}: a note has no readable pitch; please export the score again."),
    "score.bad_voices": _(
        "Bar {bar}: the voices do not fit together; please check this bar and export the score again."
    ),
    "score.too_many_times": _(
        "Bar {bar}: a repeat is to be played more than {limit} times; please check it."
    ),
    "score.bad_meter": _("Bar {bar}: the time signature cannot be read."),
    "score.not_engraved": _(
        "The score could not be engraved; please open it in your notation program and export it again."
    ),
    "score.ending_unnumbered": _("Bar {bar}: an ending does not say for which time it is; please number it."),
    "score.ending_missing": _(
        "Bar {bar}: there is an ending for time {number} but none for time {missing}; please check the "
        "endings."
    ),
    "score.ending_nested": _("Bar {bar}: one ending lies inside another; please check the endings."),
    "score.no_segno": _("Bar {bar}: it goes back to a segno, but none is printed; please check the signs."),
    "score.segno_later": _(
        "Bar {bar}: it goes back to the segno, which comes only later (bar {later}); please check it."
    ),
    "score.no_coda": _("Bar {bar}: it leads to a coda, but none is printed; please check the signs."),
    "score.coda_earlier": _(
        "Bar {bar}: it leads to the coda, which comes before it (bar {earlier}); please check it."
    ),
    "score.contradictory": _(
        "The repeats, endings and jumps of this score may contradict each other; please check them."
    ),
    "score.too_slow": _("Reading the score took too long, so it was stopped; please send only the excerpt."),
    "score.too_heavy": _(
        "The score needs too much memory to read, so it was stopped; please send only the excerpt."
    ),
    "score.reading_stopped": _("Reading the score was broken off; please send it once more."),
    "score.bar_not_found": _("Bar {bar} is not in this score, which has bars {first} to {last}."),
    "score.bars_backwards": _("The excerpt runs backwards: bar {first} comes after bar {last}."),
    "score.tempo_at_beginning": _("Bar {bar} is the beginning: its tempo is the marked tempo of the music."),
    "score.tempo_twice": _("Bar {bar} begins with a tempo already; please take one of the two away."),
    "score.line_empty": _("Please write the bars in the order they are played, such as 1-8, 1-7, 9-24."),
    "score.line_unread": _("“{part}” is no bar and no range of bars; please write it like 9 or 10-24."),
    "score.line_part": _("“{part}”: {why}"),
    "score.line_too_long": _("The line plays more than {limit} bars; please check it."),
    "score.line_many_notes": _("The line plays more than {limit} notes; please check it."),
    "score.played_many_notes": _(
        "With its repeats the score plays more than {limit} notes; please check the repeats or send the "
        "excerpt."
    ),
    "score.cut_all": _("The cut leaves no bar to play."),
    "score.order_plain": _("The bars are played straight through."),
    "score.order_agreed": _("Two independent readings of the repeats and jumps agree."),
    "score.order_differs": _(
        "Two readings of the repeats and jumps differ; please confirm the order: {order}. The other: {other}."
    ),
    "score.order_unchecked": _(
        "This form (endings together with a da capo or dal segno) was read once; please confirm: {order}."
    ),
    "score.order_wordless": _(
        "A jump in this score has no printed words, so its order was read once; please confirm: {order}."
    ),
    "score.order_other_failed": _(
        "The repeats or jumps are unusual and were read once; please confirm: {order}."
    ),
    "score.scale_tonic": _("{tonic} is not the name of a note; write it like C, F sharp or B flat."),
    "score.scale_key": _("{key} is not written in practice; please choose its other spelling."),
    "score.scale_octaves": _("A scale sheet has one, two, three or four octaves."),
    "score.scale_range": _(
        "{key} over {octaves} does not fit the range of the {instrument:small}; please choose fewer octaves."
    ),
    "score.scale_raised": _(
        "{key} over {octaves} cannot begin that high on the {instrument:small}; please begin lower."
    ),
    "score.scale_thirds": _(
        "Only major and minor scales are written in thirds here; please choose another order of notes."
    ),
    "score.scale_triplets": _(
        "Triplets are written in an even rhythm; please choose the even rhythm or other note values."
    ),
    "score.scale_choice": _("{choice} is not known here; choose one of {choices}."),
    "score.scale_title": _("{key}, {octaves}"),
    "score.scale_title_arpeggio": _("{key}, {octaves}, with arpeggio"),
    "score.sight_title": _("Reading at sight, level {level}"),
    "score.sight_minor": _("{tonic} minor"),
    "score.sight_no_signs": _("The key: {key}, without signs."),
    "score.sight_signs": _("The key: {key}, with {notes}."),
    "score.sight_quickest": Plural(
        "The shortest notes: bar {bars}. Say their rhythm once in your head.",
        "The shortest notes: bars {bars}. Say their rhythm once in your head.",
    ),
    "score.sight_off_beat": Plural(
        "Notes begun between the beats and held over: bar {bars}.",
        "Notes begun between the beats and held over: bars {bars}.",
    ),
    "score.sight_tie": Plural(
        "A note held on over the bar line: bar {bars}.",
        "A note held on over the bar line: bars {bars}.",
    ),
    "score.sight_rest": Plural(
        "Rests: bar {bars}. Count them.",
        "Rests: bars {bars}. Count them.",
    ),
    "score.sight_leap": _("The widest leap: {first} to {second}, bar {bar}. Hear it before you play."),
    "score.sight_altered": _("Signs beside the key: {notes}."),
    "score.sight_altered_note": _("{note} in bar {bar}"),
    "score.sight_end": _("It ends on {note}."),
    "score.position_thumb": _("thumb {place}"),
    "score.plan_too_low": _("Bar {bar}: {note} lies below the lowest string, so it is left out of the plan."),
    "score.plan_too_high": _(
        "Bar {bar}: {note} lies above the positions allowed here, so it is left out of the plan."
    ),
    "score.plan_chord": _(
        "Bar {bar}: no position holds {notes} together; this chord is left out of the plan."
    ),
    "score.plan_lock": _(
        "Bar {bar}: the finger or string chosen for {notes} cannot play it; it was planned without this "
        "choice."
    ),
    "score.plan_voices": _(
        "Bar {bar}: two voices overlap; the plan follows the notes as they begin and holds none of them."
    ),
    "score.tuning_strings": _("Please name {fewest} to {most} strings, the lowest first."),
    "score.tuning_unread": _(
        "Please write the tuning as sounding notes with their octave, the lowest first, like {usual}."
    ),
    "score.tuning_order": _("Each string has to be tuned higher than the one before it."),
    "score.shared_not_zip": _(
        "This is not a zip; please choose the file as it was downloaded from the other studio."
    ),
    "score.shared_damaged": _("The zip is damaged and cannot be unpacked; please ask for it again."),
    "score.shared_twice": _("The zip holds {name} twice; please ask for it again."),
    "score.shared_missing": _(
        "The zip holds no {name}, so it is not a folder shared from a studio like this one."
    ),
    "score.shared_not_json": _("{name} cannot be read; please ask for the folder again."),
    "score.shared_newer": _(
        "The folder is written in version {version}; this studio reads version {known}. "
        "Please bring this studio up to date, or ask for the folder in version {known}."
    ),
    "score.shared_field": _("{name}: {field} is missing or not what it should be. {why}"),
    "score.shared_many": _("{name} holds more than {limit} entries."),
    "score.major": _("{tonic} major"),
    "score.natural_minor": _("{tonic} natural minor"),
    "score.harmonic_minor": _("{tonic} harmonic minor"),
    "score.melodic_minor": _("{tonic} melodic minor"),
    "score.chromatic": _("Chromatic scale from {tonic}"),
    "score.whole_tone": _("Whole tone scale from {tonic}"),
    "score.major_arpeggio": _("{tonic} major arpeggio"),
    "score.minor_arpeggio": _("{tonic} minor arpeggio"),
    "score.dominant_seventh": _("Dominant seventh on {tonic}"),
    "score.diminished_seventh": _("Diminished seventh on {tonic}"),
    "score.a_pdf": _("a PDF"),
    "score.a_picture": _("a picture"),
    "score.a_web_page": _("a web page"),
    "score.one_octave": _("one octave"),
    "score.two_octaves": _("two octaves"),
    "score.three_octaves": _("three octaves"),
    "score.four_octaves": _("four octaves"),
    "score.scale_straight": "{key}",
    "score.scale_in_thirds": _("{key} in thirds"),
    "score.scale_broken": _("{key}, broken"),
    "score.many_uneven_bars": _(
        "These bars do not fill their time signature: {bars} and more. Please check them."
    ),
    "score.position": "{place}",
    "score.position_low": _("{place} low"),
    "score.position_high": _("{place} high"),
    "score.instrument": instrument_name,
}
