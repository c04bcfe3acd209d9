"""Every sentence this package says to a person: what is wrong, and where, with named placeholders."""

EMPTY_FILE = "The file is empty."
TOO_BIG = "The file is larger than {megabytes} MB, which is more than a score of one part needs."
NOT_MUSICXML = (
    "This is not a MusicXML file, nor MIDI, ABC or kern. "
    "Please export the score as .musicxml or .mxl from your notation program."
)
WRONG_KIND = "This is {kind}, not MusicXML. Please export the score as .musicxml or .mxl."
KINDS = {
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"<!DOCTYPE html": "a web page",
    b"<html": "a web page",
}
MIDI_BARE = (
    "A MIDI file holds no slurs, dynamics or articulation, and its note values are rounded: please look the "
    "engraved music over."
)
MIDI_KEY_GUESSED = "The file names no key, so the key signature was taken from its notes."
MIDI_METRE_GUESSED = "The file names no time signature, so it is written in 4/4."
MIDI_BROKEN = "The MIDI file breaks off or is damaged; please export it again."
MIDI_BROKEN_TRACK = "Track {track} of the MIDI file breaks off or is damaged; please export it again."
MIDI_NO_BEATS = "The MIDI file does not count in beats, so no bars can be made of it; please export MusicXML."
MIDI_LONG = "The MIDI file is longer than 2000 bars; please send only the excerpt."
MIDI_MANY = "The MIDI file holds far more than a score of one part needs; please send only the excerpt."
MIDI_PERCUSSION = "The MIDI file holds only percussion without pitch, which cannot be measured."
ABC_TUNES = "The ABC file holds {count} tunes; please send the one that is to be played."
ABC_VOICE_INSIDE = (
    "Line {line} changes to another voice in its middle; please begin a new line with [V:] there."
)
ABC_LAYERS = "Bar {bar}: two layers joined by & cannot be read; please write them as two voices (V:)."
ABC_SIGN = "Bar {bar} (line {line}): “{sign}” is no sign of ABC music; please check this place."
KERN_NONE = "The Humdrum file has no **kern column, so there are no notes to read."
KERN_BREAKS_OFF = "The kern file breaks off after bar {bar} (no *- at its end); please export it again."
FOREIGN_BROKEN = "The {kind} file could not be understood; please check it, or export the score as MusicXML."
UNEVEN_BARS = "These bars do not fill their time signature: {bars}. Please check them."
AND_MORE = " and more"
PART_UNNAMED = "Part {number}"
CHOICE_UNKNOWN = "This part is not in the score; please choose again."

TIMEWISE = "The score is written bar by bar across parts (score-timewise); please export it part by part."
OPUS = "The file lists several scores; please export the one score that is to be played."

ZIP_DAMAGED = "The .mxl file is damaged and cannot be unpacked; please export it again."
ZIP_LOCKED = "The zipped file is locked with a password; please export it without one."
ZIP_MANY = "The zipped file holds {count} files, more than a score needs (at most {limit})."
ZIP_PATH = "The zipped file names a file outside itself, so it was not opened."
ZIP_NO_SCORE = "The .mxl file holds no score; please export it again."
ZIP_BLOWS_UP = "The zipped file unpacks to more than {megabytes} MB, so it was not opened."

ENTITIES = (
    "The file defines its own abbreviations (XML entities), which a score never needs; it was not opened."
)
BROKEN_AT_BAR = "The file breaks off or is damaged after bar {bar} (line {line}); please export it again."
BROKEN_AT_LINE = "The file breaks off or is damaged at line {line}; please export it again."
TOO_DEEP = "The file is nested far deeper than a score is, so it was not read."
TOO_MANY_ELEMENTS = "The file holds far more than a score of one part needs, so it was not read."
TOO_MANY_MEASURES = "The part has {count} bars; at most {limit} can be read. Please send only the excerpt."
TOO_MANY_NOTES = "The part has {count} notes; at most {limit} can be read. Please send only the excerpt."

NO_PARTS = "The score has no part with bars in it."
NO_NOTES = "The score has no notes with a pitch."
PART_NOT_FOUND = "The score has no part called {part}; it has {parts}."
PART_NO_NOTES = "The part {part} has no notes with a pitch."
NO_DIVISIONS = "Bar {bar}: the file does not say how long its notes are; please export it again."
BAD_LENGTH = "Bar {bar}: a note has no readable length; please export the score again."
BAD_PITCH = "Bar {bar}: a note has no readable pitch; please export the score again."
BAD_VOICES = "Bar {bar}: the voices do not fit together; please check this bar and export the score again."
TOO_MANY_TIMES = "Bar {bar}: a repeat is to be played more than {limit} times; please check it."
BAD_METER = "Bar {bar}: the time signature cannot be read."
NOT_ENGRAVED = "The score could not be engraved; please open it in your notation program and export it again."
ENDING_UNNUMBERED = "Bar {bar}: an ending does not say for which time it is; please number it."
ENDING_MISSING = (
    "Bar {bar}: there is an ending for time {number} but none for time {missing}; please check the endings."
)
ENDING_NESTED = "Bar {bar}: one ending lies inside another; please check the endings."
NO_SEGNO = "Bar {bar}: it goes back to a segno, but none is printed; please check the signs."
SEGNO_LATER = "Bar {bar}: it goes back to the segno, which comes only later (bar {later}); please check it."
NO_CODA = "Bar {bar}: it leads to a coda, but none is printed; please check the signs."
CODA_EARLIER = "Bar {bar}: it leads to the coda, which comes before it (bar {earlier}); please check it."
CONTRADICTORY = "The repeats, endings and jumps of this score may contradict each other; please check them."

TOO_SLOW = "Reading the score took too long, so it was stopped; please send only the excerpt."
TOO_HEAVY = "The score needs too much memory to read, so it was stopped; please send only the excerpt."
READING_STOPPED = "Reading the score was broken off; please send it once more."

BAR_NOT_FOUND = "Bar {bar} is not in this score, which has bars {first} to {last}."
BARS_BACKWARDS = "The excerpt runs backwards: bar {first} comes after bar {last}."
TEMPO_AT_BEGINNING = "Bar {bar} is the beginning: its tempo is the marked tempo of the music."
TEMPO_TWICE = "Bar {bar} begins with a tempo already; please take one of the two away."
LINE_EMPTY = "Please write the bars in the order they are played, such as 1-8, 1-7, 9-24."
LINE_UNREAD = "“{part}” is no bar and no range of bars; please write it like 9 or 10-24."
LINE_PART = "“{part}”: {why}"
LINE_TOO_LONG = "The line plays more than {limit} bars; please check it."
LINE_MANY_NOTES = "The line plays more than {limit} notes; please check it."
PLAYED_MANY_NOTES = (
    "With its repeats the score plays more than {limit} notes; please check the repeats or send the excerpt."
)
CUT_ALL = "The cut leaves no bar to play."

ORDER_PLAIN = "The bars are played straight through."
ORDER_AGREED = "Two independent readings of the repeats and jumps agree."
ORDER_DIFFERS = (
    "Two readings of the repeats and jumps differ; please confirm the order: {order}. The other: {other}."
)
ORDER_UNCHECKED = (
    "This form (endings together with a da capo or dal segno) was read once; please confirm: {order}."
)
ORDER_WORDLESS = (
    "A jump in this score has no printed words, so its order was read once; please confirm: {order}."
)
ORDER_OTHER_FAILED = "The repeats or jumps are unusual and were read once; please confirm: {order}."

SCALE_TONIC = "{tonic} is not the name of a note; write it like C, F sharp or B flat."
SCALE_KEY = "{key} is not written in practice; please choose its other spelling."
SCALE_OCTAVES = "A scale sheet has one, two, three or four octaves."
SCALE_RANGE = "{key} over {octaves} does not fit the range of the {instrument}; please choose fewer octaves."
SCALE_RAISED = "{key} over {octaves} cannot begin that high on the {instrument}; please begin lower."
SCALE_THIRDS = "Only major and minor scales are written in thirds here; please choose another order of notes."
SCALE_TRIPLETS = "Triplets are written in an even rhythm; please choose the even rhythm or other note values."
SCALE_CHOICE = "{choice} is not known here; choose one of {choices}."
SCALE_TITLE = "{key}, {octaves}"
SCALE_TITLE_ARPEGGIO = "{key}, {octaves}, with arpeggio"
OCTAVE_WORDS = {1: "one octave", 2: "two octaves", 3: "three octaves", 4: "four octaves"}
PATTERN_WORDS = {"straight": "{key}", "thirds": "{key} in thirds", "broken": "{key}, broken"}
MODE_WORDS = {
    "major": "{tonic} major",
    "natural_minor": "{tonic} natural minor",
    "harmonic_minor": "{tonic} harmonic minor",
    "melodic_minor": "{tonic} melodic minor",
    "chromatic": "Chromatic scale from {tonic}",
    "whole_tone": "Whole tone scale from {tonic}",
    "major_arpeggio": "{tonic} major arpeggio",
    "minor_arpeggio": "{tonic} minor arpeggio",
    "dominant_seventh": "Dominant seventh on {tonic}",
    "diminished_seventh": "Diminished seventh on {tonic}",
}
NATURAL_WORD = " natural"
ALTER_WORDS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}

# The position planner.
FINGER_THUMB = "T"
POSITION_THUMB = "thumb {place}"
PLAN_TOO_LOW = "Bar {bar}: {note} lies below the lowest string, so it is left out of the plan."
PLAN_TOO_HIGH = "Bar {bar}: {note} lies above the positions allowed here, so it is left out of the plan."
PLAN_CHORD = "Bar {bar}: no position holds {notes} together; this chord is left out of the plan."
PLAN_LOCK = (
    "Bar {bar}: the finger or string chosen for {notes} cannot play it; it was planned without this choice."
)
PLAN_VOICES = (
    "Bar {bar}: two voices overlap; the plan follows the notes as they begin and holds none of them."
)
TUNING_STRINGS = "Please name {fewest} to {most} strings, the lowest first."
TUNING_UNREAD = "Please write the tuning as sounding notes with their octave, the lowest first, like {usual}."
TUNING_ORDER = "Each string has to be tuned higher than the one before it."

# A shared folder of music, notes and marking form.
SHARED_NOT_ZIP = "This is not a zip; please choose the file as it was downloaded from the other studio."
SHARED_DAMAGED = "The zip is damaged and cannot be unpacked; please ask for it again."
SHARED_TWICE = "The zip holds {name} twice; please ask for it again."
SHARED_MISSING = "The zip holds no {name}, so it is not a folder shared from a studio like this one."
SHARED_NOT_JSON = "{name} cannot be read; please ask for the folder again."
SHARED_NEWER = (
    "The folder is written in version {version}; this studio reads version {known}. "
    "Please bring this studio up to date, or ask for the folder in version {known}."
)
SHARED_FIELD = "{name}: {field} is missing or not what it should be. {why}"
SHARED_MANY = "{name} holds more than {limit} entries."
