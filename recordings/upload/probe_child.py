"""Look at one uploaded file in a process of its own.

Called as `python -m recordings.upload.probe_child PATH MIN_S MAX_MB`.

Prints one JSON object: `{"verdict": "sound", "format", "has_video", "duration_s"}`, where `duration_s` is
what the container declares (null where it declares nothing), or `{"verdict": "empty" | "not_media" |
"no_sound" | "too_short" | "unreadable"}`. It imports no Django, so it starts fast and holds no secrets.
"""

import json
import resource
import sys
from pathlib import Path

import av
from av.error import FFmpegError
from av.stream import Disposition

# Only self-contained formats: FFmpeg's playlists (hls, dash, concat) would open other files and addresses.
FORMATS = (
    "3gp,aac,ac3,aiff,amr,amrnb,amrwb,asf,avi,caf,eac3,flac,flv,loas,matroska,webm,mov,mp4,m4a,3g2,mj2,"
    "mp3,mpeg,mpegts,ogg,w64,wav"
)


def look(path: Path, *, min_s: float) -> dict:
    """What the file at `path` is; reads only until `min_s` seconds have been heard."""
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
    heard_s, errors = _listen(container, until_s=min_s)
    if heard_s == 0 and errors:
        return {"verdict": "unreadable"}
    if heard_s < min_s:
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


def _listen(container, *, until_s: float) -> tuple[float, int]:
    """Seconds heard (up to `until_s`) and the number of packets that could not be read."""
    heard_s, errors = 0.0, 0
    try:
        for packet in container.demux(container.streams.audio[0]):
            try:
                heard_s += sum(frame.samples / frame.sample_rate for frame in packet.decode())
            except FFmpegError:
                errors += 1
            if heard_s >= until_s:
                break
    except FFmpegError:
        errors += 1
    return heard_s, errors


def main(arguments: list[str]) -> None:
    path, min_s, max_mb = Path(arguments[0]), float(arguments[1]), int(arguments[2])
    resource.setrlimit(resource.RLIMIT_AS, (max_mb * 2**20, max_mb * 2**20))
    print(json.dumps(look(path, min_s=min_s)))


if __name__ == "__main__":
    main(sys.argv[1:])
