"""The inside of the process that looks at an uploaded file: `main([PATH, MIN_S])`, one JSON object on stdout.

It prints `{"verdict": "sound", "format", "has_video", "duration_s"}`, where `duration_s` is what the
container declares (null where it declares nothing), or `{"verdict": "empty" | "not_media" | "no_sound" |
"too_short" | "unreadable"}`. It imports no Django, so it starts fast.
"""

import json
from pathlib import Path

import av
from av.error import FFmpegError
from av.stream import Disposition

from recordings.analysis.recording.formats import FORMATS


def look(path: Path, *, min_s: float) -> dict:
    """What the file at `path` is; reads only until `min_s` seconds have been decoded."""
    if path.stat().st_size == 0:
        return {"verdict": "empty"}
    with path.open("rb") as file:
        try:
            container = av.open(file, options={"format_whitelist": FORMATS})
        except FFmpegError:
            return {"verdict": "not_media"}
        with container:
            return _look_inside(container, min_s=min_s)


def _look_inside(container, *, min_s: float) -> dict:
    if not container.streams.audio:
        return {"verdict": "no_sound"}
    decoded_s, errors = _decoded(container, until_s=min_s)
    if decoded_s == 0 and errors:
        return {"verdict": "unreadable"}
    if decoded_s < min_s:
        return {"verdict": "too_short"}
    return {
        "verdict": "sound",
        "format": container.format.name,
        "has_video": any(not _is_cover(stream) for stream in container.streams.video),
        "duration_s": container.duration / av.time_base if container.duration else None,
    }


def _is_cover(stream) -> bool:
    """A cover picture inside a music file is a video stream of one frame; it makes no video."""
    return bool(stream.disposition & Disposition.attached_pic)


def _decoded(container, *, until_s: float) -> tuple[float, int]:
    """Seconds decoded (up to `until_s`) and the number of packets that could not be read."""
    decoded_s, errors = 0.0, 0
    try:
        for packet in container.demux(container.streams.audio[0]):
            try:
                decoded_s += sum(frame.samples / frame.sample_rate for frame in packet.decode())
            except FFmpegError:
                errors += 1
            if decoded_s >= until_s:
                break
    except FFmpegError:
        errors += 1
    return decoded_s, errors


def main(arguments: list[str]) -> None:
    path, min_s = Path(arguments[0]), float(arguments[1])
    print(json.dumps(look(path, min_s=min_s)))
