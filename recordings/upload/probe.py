"""Whether an uploaded file is sound, asked in a bounded process; the only gate for what comes in."""

import json
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext_lazy as _

from repertoire.notation.bounded import Ending, ProcessLimits, run
from repertoire.notation.slots import place

# Shorter than this nobody has played anything: a slip of the finger on the recording button.
MIN_S = 2.0
# Files made by phones answer in well under a second; the limits are for files made to hurt, which must
# not keep all others waiting: a broken file can burn a processor for half a minute. All are choices.
PROBE_TIMEOUT_S = 30
PROBE_PROCESSOR_S = 5
PROBE_MEMORY_MB = 1500
LOOKS_AT_ONCE = 2  # on this machine; each may take the memory above
WAIT_FOR_A_LOOK_S = 20

_SENTENCES = {
    "empty": _("This file is empty. Perhaps the recording was not saved; please choose it again."),
    "not_media": _("This file is not a recording. Please choose the audio or video file your phone made."),
    "no_sound": _("This video has no sound in it. Please choose a recording with sound."),
    "too_short": _("This recording is shorter than two seconds. Please choose the whole take."),
    "unreadable": _(
        "The sound in this file cannot be read. Please save the recording again and choose it anew."
    ),
    "broken_off": _("Looking at this recording was broken off. Please send it once more."),
    "too_long": _("This recording is longer than %(minutes)s minutes. Please send one take of one piece."),
}
_AUDIO_TYPES = {
    "wav": "audio/wav",
    "w64": "audio/wav",
    "mp3": "audio/mpeg",
    "flac": "audio/flac",
    "ogg": "audio/ogg",
    "aac": "audio/aac",
    "aiff": "audio/aiff",
    "matroska,webm": "audio/webm",
    "mov,mp4,m4a,3gp,3g2,mj2": "audio/mp4",
}


class NotSound(Exception):
    """A file that cannot be taken; the message is one sentence for the person."""


class NotNow(Exception):
    """A file that could not be looked at, since too many others are; the message says so."""


class BrokenOff(NotSound):
    """Not the file's fault: the look at it was ended from outside."""


@dataclass(frozen=True, slots=True)
class Probe:
    media_type: str  # from the content, never from the name or the browser's word
    duration_s: float | None  # as declared by the file; None where it declares nothing


def probe(path: Path) -> Probe:
    """What kind of sound the file at `path` holds; raises NotSound or NotNow with a sentence otherwise."""
    folder = settings.DATA_DIR / "at-once"
    with place(folder, "look", places=LOOKS_AT_ONCE, wait_s=WAIT_FOR_A_LOOK_S) as is_free:
        if not is_free:
            raise NotNow(_("Very many recordings are coming in. Please send this one again in a minute."))
        answer = _ask_child(path)
    if answer["verdict"] == "broken_off":
        raise BrokenOff(_SENTENCES["broken_off"])
    if answer["verdict"] != "sound":
        raise NotSound(_SENTENCES[answer["verdict"]])
    minutes = settings.TAKE_MAX_MINUTES
    if answer["duration_s"] and answer["duration_s"] > minutes * 60:
        raise NotSound(_SENTENCES["too_long"] % {"minutes": minutes})
    return Probe(media_type=_media_type(answer), duration_s=answer["duration_s"])


def _ask_child(path: Path) -> dict:
    limits = ProcessLimits(time_s=PROBE_TIMEOUT_S, memory_mb=PROBE_MEMORY_MB, processor_s=PROBE_PROCESSOR_S)
    ended = run("recordings.upload.probe_child", str(path), str(MIN_S), limits=limits)
    if ended.how is Ending.FINISHED:
        return json.loads(ended.output)
    return {"verdict": "broken_off" if ended.how is Ending.KILLED else "unreadable"}


def _media_type(answer: dict) -> str:
    audio_type = _AUDIO_TYPES.get(answer["format"], "application/octet-stream")
    return audio_type.replace("audio/", "video/") if answer["has_video"] else audio_type
