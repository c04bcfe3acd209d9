"""Every sentence this package says to a person, by code: what is wrong, and where.

The words stand in `repertoire.wording.scores`; the names here are the arguments a sentence takes.
"""

from repertoire.notation.sentence import SentenceCode as Code

EMPTY_FILE = Code("score.empty_file")
TOO_BIG = Code("score.too_big", "megabytes")
NOT_MUSICXML = Code("score.not_musicxml")
WRONG_KIND = Code("score.wrong_kind", "kind")
A_PDF = Code("score.a_pdf")
A_PICTURE = Code("score.a_picture")
A_WEB_PAGE = Code("score.a_web_page")
KINDS = {
    b"%PDF": A_PDF,
    b"\x89PNG": A_PICTURE,
    b"\xff\xd8\xff": A_PICTURE,
    b"<!DOCTYPE html": A_WEB_PAGE,
    b"<html": A_WEB_PAGE,
}
MIDI_BARE = Code("score.midi_bare")
MIDI_KEY_GUESSED = Code("score.midi_key_guessed")
MIDI_METRE_GUESSED = Code("score.midi_metre_guessed")
MIDI_BROKEN = Code("score.midi_broken")
MIDI_BROKEN_TRACK = Code("score.midi_broken_track", "track")
MIDI_NO_BEATS = Code("score.midi_no_beats")
MIDI_LONG = Code("score.midi_long")
MIDI_MANY = Code("score.midi_many")
MIDI_PERCUSSION = Code("score.midi_percussion")
ABC_TUNES = Code("score.abc_tunes", "count")
ABC_VOICE_INSIDE = Code("score.abc_voice_inside", "line")
ABC_LAYERS = Code("score.abc_layers", "bar")
ABC_SIGN = Code("score.abc_sign", "bar", "line", "sign")
KERN_NONE = Code("score.kern_none")
KERN_BREAKS_OFF = Code("score.kern_breaks_off", "bar")
FOREIGN_BROKEN = Code("score.foreign_broken", "kind")
UNEVEN_BARS = Code("score.uneven_bars", "bars")
MANY_UNEVEN_BARS = Code("score.many_uneven_bars", "bars")
CHOICE_UNKNOWN = Code("score.choice_unknown")
TIMEWISE = Code("score.timewise")
OPUS = Code("score.opus")
ZIP_DAMAGED = Code("score.zip_damaged")
ZIP_LOCKED = Code("score.zip_locked")
ZIP_MANY = Code("score.zip_many", "count", "limit")
ZIP_PATH = Code("score.zip_path")
ZIP_NO_SCORE = Code("score.zip_no_score")
ZIP_BLOWS_UP = Code("score.zip_blows_up", "megabytes")
ENTITIES = Code("score.entities")
BROKEN_AT_BAR = Code("score.broken_at_bar", "bar", "line")
BROKEN_AT_LINE = Code("score.broken_at_line", "line")
TOO_DEEP = Code("score.too_deep")
TOO_MANY_ELEMENTS = Code("score.too_many_elements")
TOO_MANY_MEASURES = Code("score.too_many_measures", "count", "limit")
TOO_MANY_NOTES = Code("score.too_many_notes", "count", "limit")
NO_PARTS = Code("score.no_parts")
NO_NOTES = Code("score.no_notes")
PART_NOT_FOUND = Code("score.part_not_found", "part", "parts")
PART_NO_NOTES = Code("score.part_no_notes", "part")
NO_DIVISIONS = Code("score.no_divisions", "bar")
BAD_LENGTH = Code("score.bad_length", "bar")
BAD_PITCH = Code("score.bad_pitch", "bar")
BAD_VOICES = Code("score.bad_voices", "bar")
TOO_MANY_TIMES = Code("score.too_many_times", "bar", "limit")
BAD_METER = Code("score.bad_meter", "bar")
NOT_ENGRAVED = Code("score.not_engraved")
ENDING_UNNUMBERED = Code("score.ending_unnumbered", "bar")
ENDING_MISSING = Code("score.ending_missing", "bar", "number", "missing")
ENDING_NESTED = Code("score.ending_nested", "bar")
NO_SEGNO = Code("score.no_segno", "bar")
SEGNO_LATER = Code("score.segno_later", "bar", "later")
NO_CODA = Code("score.no_coda", "bar")
CODA_EARLIER = Code("score.coda_earlier", "bar", "earlier")
CONTRADICTORY = Code("score.contradictory")
TOO_SLOW = Code("score.too_slow")
TOO_HEAVY = Code("score.too_heavy")
READING_STOPPED = Code("score.reading_stopped")
BAR_NOT_FOUND = Code("score.bar_not_found", "bar", "first", "last")
BARS_BACKWARDS = Code("score.bars_backwards", "first", "last")
TEMPO_AT_BEGINNING = Code("score.tempo_at_beginning", "bar")
TEMPO_TWICE = Code("score.tempo_twice", "bar")
LINE_EMPTY = Code("score.line_empty")
LINE_UNREAD = Code("score.line_unread", "part")
LINE_PART = Code("score.line_part", "part", "why")
LINE_TOO_LONG = Code("score.line_too_long", "limit")
LINE_MANY_NOTES = Code("score.line_many_notes", "limit")
PLAYED_MANY_NOTES = Code("score.played_many_notes", "limit")
CUT_ALL = Code("score.cut_all")
ORDER_PLAIN = Code("score.order_plain")
ORDER_AGREED = Code("score.order_agreed")
ORDER_DIFFERS = Code("score.order_differs", "order", "other")
ORDER_UNCHECKED = Code("score.order_unchecked", "order")
ORDER_WORDLESS = Code("score.order_wordless", "order")
ORDER_OTHER_FAILED = Code("score.order_other_failed", "order")
SCALE_TONIC = Code("score.scale_tonic", "tonic")
SCALE_KEY = Code("score.scale_key", "key")
SCALE_OCTAVES = Code("score.scale_octaves")
SCALE_RANGE = Code("score.scale_range", "key", "octaves", "instrument")
SCALE_RAISED = Code("score.scale_raised", "key", "octaves", "instrument")
INSTRUMENT = Code("score.instrument", "key")
SCALE_THIRDS = Code("score.scale_thirds")
SCALE_TRIPLETS = Code("score.scale_triplets")
SCALE_CHOICE = Code("score.scale_choice", "choice", "choices")
SCALE_TITLE = Code("score.scale_title", "key", "octaves")
SCALE_TITLE_ARPEGGIO = Code("score.scale_title_arpeggio", "key", "octaves")
OCTAVES = {
    1: Code("score.one_octave"),
    2: Code("score.two_octaves"),
    3: Code("score.three_octaves"),
    4: Code("score.four_octaves"),
}
PATTERNS = {
    "straight": Code("score.scale_straight", "key"),
    "thirds": Code("score.scale_in_thirds", "key"),
    "broken": Code("score.scale_broken", "key"),
}
MODES = {
    "major": Code("score.major", "tonic"),
    "natural_minor": Code("score.natural_minor", "tonic"),
    "harmonic_minor": Code("score.harmonic_minor", "tonic"),
    "melodic_minor": Code("score.melodic_minor", "tonic"),
    "chromatic": Code("score.chromatic", "tonic"),
    "whole_tone": Code("score.whole_tone", "tonic"),
    "major_arpeggio": Code("score.major_arpeggio", "tonic"),
    "minor_arpeggio": Code("score.minor_arpeggio", "tonic"),
    "dominant_seventh": Code("score.dominant_seventh", "tonic"),
    "diminished_seventh": Code("score.diminished_seventh", "tonic"),
}

# Reading at sight.
SIGHT_TITLE = Code("score.sight_title", "level")
SIGHT_MINOR = Code("score.sight_minor", "tonic")
SIGHT_NO_SIGNS = Code("score.sight_no_signs", "key")
SIGHT_SIGNS = Code("score.sight_signs", "key", "notes")
SIGHT_QUICKEST = Code("score.sight_quickest", "bars", "count")
SIGHT_OFF_BEAT = Code("score.sight_off_beat", "bars", "count")
SIGHT_TIE = Code("score.sight_tie", "bars", "count")
SIGHT_REST = Code("score.sight_rest", "bars", "count")
SIGHT_LEAP = Code("score.sight_leap", "bar", "first", "second")
SIGHT_ALTERED = Code("score.sight_altered", "notes")
SIGHT_ALTERED_NOTE = Code("score.sight_altered_note", "note", "bar")
SIGHT_END = Code("score.sight_end", "note")

# The position planner.
POSITION = Code("score.position", "place")
POSITION_LOW = Code("score.position_low", "place")
POSITION_HIGH = Code("score.position_high", "place")
POSITION_THUMB = Code("score.position_thumb", "place")
PLAN_TOO_LOW = Code("score.plan_too_low", "bar", "note")
PLAN_TOO_HIGH = Code("score.plan_too_high", "bar", "note")
PLAN_CHORD = Code("score.plan_chord", "bar", "notes")
PLAN_LOCK = Code("score.plan_lock", "bar", "notes")
PLAN_VOICES = Code("score.plan_voices", "bar")
TUNING_STRINGS = Code("score.tuning_strings", "fewest", "most")
TUNING_UNREAD = Code("score.tuning_unread", "usual")
TUNING_ORDER = Code("score.tuning_order")

# A shared folder of music, notes and marking form.
SHARED_NOT_ZIP = Code("score.shared_not_zip")
SHARED_DAMAGED = Code("score.shared_damaged")
SHARED_TWICE = Code("score.shared_twice", "name")
SHARED_MISSING = Code("score.shared_missing", "name")
SHARED_NOT_JSON = Code("score.shared_not_json", "name")
SHARED_NEWER = Code("score.shared_newer", "version", "known")
SHARED_FIELD = Code("score.shared_field", "name", "field", "why")
SHARED_MANY = Code("score.shared_many", "name", "limit")
