"""Every sentence an analysis says, as templates with named places, in one file to be translated.

Plain and warm: bars, notes, tempo; what was heard and how to hear it again, never a scolding.
"""

# refusing a file
NOT_AUDIO = "This file could not be read as sound or video. Please send the recording as your phone saved it."
NO_SOUND_TRACK = (
    "This file has no sound in it: it seems to be a picture or a video without a microphone track."
)
EMPTY_SOUND = "This file opens, but there is no sound in it. Please record again and listen before sending."
TOO_LONG = (
    "This recording is longer than {minutes} minutes. Please cut it to the take itself and send it again."
)

# child process
FAILED_TIME = (
    "Measuring this take took too long and was stopped. Please try once more, or send a shorter recording."
)
FAILED_MEMORY = "This take needed more memory than is allowed. Please send a shorter recording."
FAILED_OTHER = (
    "This take could not be measured. The recording is safe; the studio has been told what went wrong."
)

# stages, as told while measuring
STAGE_DECODE = "Opening the recording"
STAGE_CHECKS = "Checking the recording"
STAGE_FEATURES = "Listening"
STAGE_ALIGNMENT = "Finding each note in the score"
STAGE_NOTES = "Measuring the notes"
STAGE_MUSIC = "Tempo, rhythm and dynamics"
STAGE_FINDINGS = "Writing down what was found"

# recording checks
CHECK_SILENT = "There is nothing to be heard. Check the microphone and record again."
CHECK_QUIET = "Very quiet ({lufs} LUFS). Move the phone nearer, about two metres from the instrument."
CHECK_LEVEL_FINE = "The level is good."
CHECK_CLIPPED = "The loudest notes are distorted. Move the phone further away or turn the input level down."
CHECK_CLIP_FINE = "No distortion from too high a level."
CHECK_NOISE_UNKNOWN = "Too short to tell the background noise."
CHECK_NOISY = "The room is noisy: the music stands only {snr} dB above it. A quieter room helps."
CHECK_NOISE_FINE = "The background is quiet."
CHECK_HUM = "A {hz} Hz mains hum is audible. Try another socket or unplug what is near the microphone."
CHECK_HUM_FINE = "No mains hum."
CHECK_LONG_SILENCE = "There are {seconds} seconds of silence before or after the music."
CHECK_SILENCE_FINE = "Little silence before and after the music."
CHECK_TRUNCATED = (
    "The file says it lasts {declared} seconds, but only {read} could be read. Please send it once more."
)
CHECK_DAMAGED = "Small parts of the file are damaged. If something sounds broken, send it once more."
CHECK_DROPOUTS = "The sound drops out for a moment in {count} places."
CHECK_LOW_RATE = "Recorded in telephone quality; tone and loudness are hard to judge."
CHECK_METRONOME = (
    "A click of about {bpm} beats a minute is heard. Where none is allowed, record again without it."
)
CHECK_TALKING = "Somebody seems to speak near {places}. Where no talking is allowed, record again without it."
CHECK_PLAYERS = (
    "More than one instrument seems to sound. Where the player must be alone, please listen again."
)
CHECK_JOIN = (
    "The background changes all at once near {at}. Was the recording stopped and started again there, "
    "or does the phone filter noise?"
)
CHECK_SPEED_FAST = (
    "Everything sounds one and a half semitones high and fast, as when a file is played at the wrong rate. "
    "Was it converted? Please send it as the phone saved it."
)
CHECK_SPEED_SLOW = (
    "Everything sounds one and a half semitones low and slow, as when a file is played at the wrong rate. "
    "Was it converted? Please send it as the phone saved it."
)
CHECK_FLATTENED = (
    "Loud and soft hardly differ, though the music asks for both. "
    "If the phone evens out levels by itself, switch that off."
)
CHECK_WHOLE_FINE = "The file is whole."

# repeats and form
REPEATS_NOTHING_HEARD = "Nothing of this piece was recognised."
REPEATS_NONE_ASKED = "No repeats asked for, none played."
REPEATS_ALL_PLAYED = "All repeats were played."
REPEATS_NONE_PLAYED = "No repeat was played (asked for: {bars})."
REPEATS_LEFT_OUT = "Played fewer times than asked for: bars {bars}."
REPEATS_ADDED = "Played again though no repeat was asked for: bars {bars}."

# why a note's pitch is not judged
REASON_INSTRUMENT = "Pitch is not judged on this instrument."
REASON_TRILL = "Trill: the pitch is not judged."
REASON_TREMOLO = "Tremolo: the pitch is not judged."
REASON_SEVERAL_NOTES = "Several notes sound together: the pitch is not judged."
REASON_GRACE = "Grace note: not judged."
REASON_SHORT = "Too short for its pitch to be measured."
REASON_UNCERTAIN = "It is not certain that this note was heard."
REASON_UNCLEAR_PITCH = "The pitch is not clear enough to be measured."
REASON_WRONG_PITCH = "Another note was heard here."

# places
BAR_INSIDE, BARS_INSIDE = "bar {bars}", "bars {bars}"
BAR_SINGLE = "Bar {bar}"
BAR_RANGE = "Bars {first} to {last}"
BAR_LIST = "Bars {bars} and {last}"
BAR_MANY = "In many places (bars {bars} and others)"
LOW, HIGH = "low", "high"

# findings
FIND_NOTHING = (
    "This piece was not recognised in the recording. Is it the right recording, and the right page?"
)
FIND_ANOTHER_PITCH = "The whole take sounds {semitones} higher than printed."
FIND_ANOTHER_PITCH_LOWER = "The whole take sounds {semitones} lower than printed."
SEMITONES_SINGULAR, SEMITONES_PLURAL = "a semitone", "{count} semitones"
FIND_STOPPED = "The take ends in bar {bar}. Not played: {bars}."
FIND_STOPPED_ALLOWED = "The take ends in bar {bar}, which is allowed here: the judges may stop anywhere."
FIND_STOPPED_AGAIN = "The take ends in bar {bar} of the repeat. Not played again: {bars}."
FIND_NOT_FOLLOWED_ON = (
    "From bar {bar} on this recording could not be followed, though something sounds. "
    "What comes after is not measured; please listen."
)
FIND_NOT_FOLLOWED = (
    "Bar {bar}: for about {seconds} seconds something sounds that could not be followed as this music; "
    "please listen."
)
FIND_BEGAN_LATE = "The take begins at bar {bar}. Not played: {bars}."
FIND_LEFT_OUT = "{place}: not played."
FIND_LEFT_OUT_ONCE = "{place}: left out once."
FIND_REPEAT_LEFT_OUT = "The repeat of {bars} is not played, though it is asked for."
FIND_JUMP_LEFT_OUT = "The way back (da capo or dal segno) is not taken: {bars} not played again."
FIND_REPEATS_LEFT_OUT = "The repeats of {bars} are not played, though they are asked for."
AND = " and "
FIND_REPEAT_ADDED = "Played again, though no repeat is asked for: {bars}."
FIND_BEGAN_IN_REPEAT = "The take begins at bar {bar}; {bars} are heard only with the repeat."
FIND_BEGAN_IN_REPEAT_ONE = "The take begins at bar {bar}; {bars} is heard only with the repeat."
FIND_PLAYED_ON = "Played on past what is asked: {bars} as well."
FIND_BEGAN_BEFORE = "Begun before what is asked: {bars} as well."
FIND_CUT_NOT_MADE = "Played, though left out of what is asked: {bars}."
FIND_RESTART = "A new start from bar {bar}, after a stop in bar {from_bar}."
FIND_PLAYED_THROUGH_AGAIN = "Played to the end, then once more from bar {bar}."
FIND_BEGUN_AGAIN = "{place}: some notes are taken up again, about {seconds} seconds in all."
FIND_WRONG = "{place}: the {printed} sounds as {heard}."
FIND_WRONG_UNSURE = "{place}: the {printed} may have been another note; please listen."
FIND_WRONG_SEVERAL = "{place}: {count} notes other than the printed ones."
FIND_MISSING = "{place}: the {printed} is not heard."
FIND_MISSING_SEVERAL = "{place}: {count} notes are not heard."
FIND_PITCH_SEVERAL = "{place}: the {notes} sit about {cents} cents {direction}, {off} of {count} of them."
FIND_PITCH_ALL = "{place}: the {notes} sit about {cents} cents {direction}, all {count} of them."
FIND_PITCH_BOTH = "{place}: both {notes} sit about {cents} cents {direction}."
SEVERAL_OF = "{note}s"
FIND_PITCH_SINGLE = "{place}: the {note} is about {cents} cents {direction}."
FIND_PITCH_STRETCH = "{place}: the whole passage lies about {cents} cents {direction} ({count} notes)."
FIND_HABIT = "{what} about {cents} cents {direction}: {off} of {count} notes."
HABIT_WORDS = {
    "leap_up": "The leaps up arrive",
    "leap_down": "The leaps down arrive",
    "step_up": "Steps upwards land",
    "step_down": "Steps downwards land",
    "low": "The low notes, up to {note}, lie",
    "high": "The high notes, from {note} up, lie",
}
FIND_DRIFT_UP = (
    "The pitch of the whole take rises by about {cents} cents from beginning to end ({count} notes)."
)
FIND_DRIFT_DOWN = (
    "The pitch of the whole take sinks by about {cents} cents from beginning to end ({count} notes)."
)
FIND_WANDERS = (
    "{place}: the {notes} change from one to the next, from {low} cents low to {high} high ({count} notes)."
)
FIND_SLOW = "The tempo is {bpm}, about {percent} % of the marked {marked}."
FIND_FAST = "The tempo is {bpm}, about {percent} % of the marked {marked}: faster than asked."
FIND_RUSHING = "From bar {bar} on the tempo runs ahead, from about {first} to {last}."
FIND_DRAGGING = "From bar {bar} on the tempo sinks, from about {first} to {last}."
FIND_STRETCH_FAST = "{place}: hurried, about {bpm} where the rest is at {median}."
FIND_STRETCH_SLOW = "{place}: slower, about {bpm} where the rest is at {median}."
FIND_HESITATION = "{place}: a hesitation of about {seconds} seconds."
FIND_UNEVEN = "{place}: the run is uneven; of {count} notes some are hurried, others held."
FIND_UNEVEN_ALSO = "({count} more like it.)"
FIND_DOTTED_SOFT = "{place}: the dotted rhythm softens towards a triplet."
FIND_DOTTED_SHARP = "{place}: the dotted rhythm is sharper than printed."
FIND_LONG_SHORT_EVEN = "{place}: long and short notes come out nearly even; the long one is twice the short."
FIND_LONG_SHORT_SHARP = "{place}: the short notes come late, as if dotted; the long one is twice the short."
FIND_SNAP_SOFT = "{place}: the short-long rhythm softens; the first note is a quarter of the whole."
FIND_SNAP_SHARP = "{place}: the short-long rhythm is sharper than printed."
FIND_TRIPLETS = "{place}: the three notes of the triplets are not alike; the {which} is the longest."
FIRST_NOTE, SECOND_NOTE, THIRD_NOTE = "first", "second", "third"
FIND_NEW_TEMPO = (
    "{place}: the new tempo would be about {asked} after this beginning; it goes from {before} to {after}."
)
FIND_A_TEMPO = "{place}: after the a tempo the beat is about {after}; before the change it was {before}."
FIND_NO_CHANGE = "{place}: the printed {words} is hardly heard ({before} before, {after} at its end)."
FIND_OPENING_SLOW = "{place}: the opening is at about {first}, slower than the rest at {rest}."
FIND_OPENING_FAST = "{place}: the opening is at about {first}, faster than the rest at {rest}."
FIND_LEVELS = (
    "From the {first} in bar {first_bar} to the {second} in bar {second_bar} the loudness hardly follows"
    " ({change} dB)."
)
FIND_ACCENTS = "The {count} accented notes hardly stand out from the notes around them."
FIND_SLURS = "Under the slurs the notes stand apart, sounding for about {percent} % of the time to the next."
FIND_HAIRPIN = "{place}: the printed {kind} is hardly heard ({change} dB)."
FIND_HAIRPIN_AGAINST = "{place}: the printed {kind} goes the other way ({change} dB)."
CRESCENDO, DIMINUENDO = "crescendo", "diminuendo"
FIND_STACCATO = (
    "The staccato notes sound nearly full length (about {percent} % of the time to the next note)."
)
FIND_RECORDING = "The recording makes some things hard to hear. {text}"
STRENGTH_PITCH = "Secure intonation: {percent} % of the measured notes lie within {cents} cents."
STRENGTH_PITCH_ALL = "Secure intonation: every measured note lies within {cents} cents."
STRENGTH_SECURE_BARS = "{place}: all {count} measured notes lie within {cents} cents of pitch."
STRENGTH_STEADY = "A steady pulse throughout, around {bpm}."
STRENGTH_COMPLETE = "Every printed note is there."
STRENGTH_HAIRPINS = "The printed crescendos and diminuendos are clearly heard."

# what got better since the last take
PROGRESS = "Better than last time: {what}."
PROGRESS_JOIN = "; "
PROGRESS_SLIP = "the slip in bar {bar} is gone"
PROGRESS_SLIPS = "the slips in bars {bars} and {last} are gone"
PROGRESS_STOP = "no stop on the way any more"
PROGRESS_STOPS = "none of the {count} stops of last time"
PROGRESS_PITCH = "the {notes} in {bars} are nearer, {now} cents off instead of {then}"
PROGRESS_WHOLE = "half of all notes now lie within {now} cents, {then} last time"
PROGRESS_STEADY = "a steadier pulse, {now} % from bar to bar instead of {then} %"
PROGRESS_TEMPO = "the tempo is nearer to what is asked, {now} after {then}"
UNSURE = "{text} (Not certain; please listen.)"

# draft marks
DRAFT_EAR = "For the ear."
DRAFT_EAR_BESIDE = "For the ear. Beside it: {facts}."
LIST_OF_FACTS = "; "
EAR_STEADY = "long notes hold their pitch within {cents} cents ({count} notes)"
EAR_EVEN = "brightness varies by {percent} % from note to note"
EAR_CLEAR = "the tone stands {db} dB above bow, breath and room"
EAR_RANGE = "{db} dB between the soft and the loud notes"
EAR_HAIRPINS = "{heard} of {count} printed crescendos and diminuendos heard"
EAR_VIBRATO = "vibrato about {rate} times a second, {cents} cents to each side ({count} notes)"
DRAFT_TOO_LITTLE = "Too little could be measured for a suggestion."
DRAFT_TOGETHER = "{count} notes that sound together are left to the ear."
DRAFT_NOT_JUDGED = "Intonation is not judged here."
DRAFT_INTONATION = "{share} % of {count} measured notes within {cents} cents; {mean} cents off on average."
DRAFT_RHYTHM = "Notes lie within about {ms} ms of the player's own beat; {stops} hesitations or new starts."
DRAFT_TEMPO = "{bpm}, {percent} % of the mark; steady within {steady} %."
DRAFT_TEMPO_NO_MARK = "{bpm}; steady within {steady} %."
DRAFT_NOT_FOLLOWED = (
    "A part of this recording could not be followed, so no mark is suggested: please judge by ear."
)
DRAFT_ACCURACY = "{right} of {count} printed notes as printed; {wrong} other notes, {missing} not heard."

# the summary in plain text
SUMMARY_RECORDING = "Recording: {seconds} s, {lufs} LUFS, {snr} dB above the room."
SUMMARY_FORM = "Bars heard: {bars}. {percent} % of {count} printed notes sounded."
SUMMARY_NOTES = "{wrong} with another pitch, {missing} not heard."
SUMMARY_NO_TUNING = "Too few clear notes to tell the tuning."
SUMMARY_TUNING = "Tuning: A = {hz} Hz ({cents} cents from 440)."
SUMMARY_INTONATION = "Middle deviation {median} cents over {count} notes; {percent} % within tolerance."
SUMMARY_NO_TEMPO = "Too little was heard to tell the tempo."
SUMMARY_TEMPO = "Tempo: {bpm}, bars steady within {steady} %."
SUMMARY_OVERALL = "Over the whole, with all its freedom, {bpm}."
SUMMARY_MARKED = "The first is {percent} % of the marked {marked}."
