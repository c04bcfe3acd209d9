"""The words of what is said of a recording: why it is refused, and how well it can be heard."""

from django.utils.translation import gettext_noop as _

from repertoire.wording.templates import Template

RECORDING: dict[str, Template] = {
    "take.not_audio": _(
        "This file could not be read as sound or video. Please send the recording as your phone saved it."
    ),
    "take.no_sound_track": _(
        "This file has no sound in it: it seems to be a picture or a video without a microphone track."
    ),
    "take.empty_sound": _(
        "This file opens, but there is no sound in it. Please record again and listen before sending."
    ),
    "take.too_long": _(
        "This recording is longer than {minutes} minutes. Please cut it to the take itself and send it again."
    ),
    "take.failed_time": _(
        "Measuring this take took too long and was stopped. Please try once more, or send a shorter "
        "recording."
    ),
    "take.failed_memory": _("This take needed more memory than is allowed. Please send a shorter recording."),
    "take.failed_other": _(
        "This take could not be measured. The recording is safe; the studio has been told what went wrong."
    ),
    "take.too_many_attempts": _(
        "The measuring was broken off several times. The take itself is safe; the teacher can hear it "
        "and can have it measured again."
    ),
    "take.our_fault": _(
        "Something went wrong on our side while measuring. The take itself is safe; the teacher can hear it "
        "and can have it measured again."
    ),
    "check.silent": _("There is nothing to be heard. Check the microphone and record again."),
    "check.quiet": _(
        "Very quiet ({lufs} LUFS). Move the phone nearer, about two metres from the instrument."
    ),
    "check.level_fine": _("The level is good."),
    "check.clipped": _(
        "The loudest notes are distorted. Move the phone further away or turn the input level down."
    ),
    "check.clip_fine": _("No distortion from too high a level."),
    "check.noise_unknown": _("Too short to tell the background noise."),
    "check.noisy": _("The room is noisy: the music stands only {snr} dB above it. A quieter room helps."),
    "check.noise_fine": _("The background is quiet."),
    "check.hum": _(
        "A {hz} Hz mains hum is audible. Try another socket or unplug what is near the microphone."
    ),
    "check.hum_fine": _("No mains hum."),
    "check.long_silence": _("There are {seconds} seconds of silence before or after the music."),
    "check.silence_fine": _("Little silence before and after the music."),
    "check.truncated": _(
        "The file says it lasts {declared} seconds, but only {read} could be read. Please send it once more."
    ),
    "check.damaged": _("Small parts of the file are damaged. If something sounds broken, send it once more."),
    "check.dropouts": _("The sound drops out for a moment in {count} places."),
    "check.low_rate": _("Recorded in telephone quality; tone and loudness are hard to judge."),
    "check.metronome": _(
        "A click of about {bpm} beats a minute is heard. Where none is allowed, record again without it."
    ),
    "check.talking": _(
        "Somebody seems to speak near {places}. Where no talking is allowed, record again without it."
    ),
    "check.players": _(
        "More than one instrument seems to sound. Where the player must be alone, please listen again."
    ),
    "check.join": _(
        "The background changes all at once near {at}. Was the recording stopped and started again there,"
        " or does the phone filter noise?"
    ),
    "check.speed_fast": _(
        "Everything sounds one and a half semitones high and fast, as when a file is played at the wrong "
        "rate. Was it converted? Please send it as the phone saved it."
    ),
    "check.speed_slow": _(
        "Everything sounds one and a half semitones low and slow, as when a file is played at the wrong "
        "rate. Was it converted? Please send it as the phone saved it."
    ),
    "check.flattened": _(
        "Loud and soft hardly differ, though the music asks for both. If the phone evens out levels by "
        "itself, switch that off."
    ),
    "check.whole_fine": _("The file is whole."),
}
