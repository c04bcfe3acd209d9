"""How a take becomes the file a body takes: as it is, repacked, or converted. Pure.

Nothing is cut or joined, and a picture is never converted: it is kept as it is or left out. What a body takes
decides, then what keeps most of the sound: the take itself, its packets in another wrapper, a format without
loss, and only then one with loss.
"""

from dataclasses import dataclass
from enum import StrEnum

from studio.sending.rules import LOSSLESS, Picture, Rules

# The layer III bit rates of MPEG-1 (ISO/IEC 11172-3), in kbit/s; AAC is given the same steps.
BIT_RATES = (320, 256, 224, 192, 160, 128, 112, 96, 80, 64)
# Above this a trained ear hears no difference in listening tests; from memory, no source at hand.
USUAL_KBPS = 256
# Under this a converted take would sound worse than the recording was: a choice, no published source.
LEAST_KBPS = 96
# Sixteen bits, two channels, 48,000 samples a second.
LOSSLESS_KBPS = 1536
# Of a size limit, left for what a file holds beside its sound.
FULL_SHARE = 0.97
# Whose packets the other can hold: AAC from phones, Opus from browsers.
SAME_PACKETS = {"mp4": ("m4a",), "aac": ("m4a",), "webm": ("ogg",)}


class How(StrEnum):
    KEEP = "keep"  # the very bytes
    COPY = "copy"  # the same packets without picture or without what the file says of itself
    ENCODE = "encode"


@dataclass(frozen=True, slots=True)
class Way:
    how: How
    format: str
    with_picture: bool = False
    kbps: int | None = None  # of a format with loss that is made

    @property
    def has_loss(self) -> bool:
        return self.how is How.ENCODE and self.kbps is not None


@dataclass(frozen=True, slots=True)
class Source:
    """A take as it was handed in; an empty format is one this program has no name for."""

    format: str
    has_picture: bool
    size_bytes: int
    duration_s: float | None

    @property
    def kbps(self) -> float | None:
        """Of the whole file, on average; None where the picture's share is not known."""
        if self.has_picture or not self.duration_s:
            return None
        return self.size_bytes * 8 / self.duration_s / 1000


def way(rules: Rules, source: Source) -> Way | None:
    """What is done with this take; None where nothing the body takes can be made of it."""
    if rules.picture == Picture.VIDEO and not source.has_picture:
        return None
    keeps_picture = source.has_picture and rules.picture != Picture.SOUND
    if keeps_picture and source.format in rules.allowed:
        return Way(How.COPY if rules.strips_metadata else How.KEEP, source.format, with_picture=True)
    return None if rules.picture == Picture.VIDEO else _sound_alone(rules, source)


def _sound_alone(rules: Rules, source: Source) -> Way | None:
    wanted = [name for name in rules.allowed if name != "mp4"]
    as_it_is = _as_it_is(rules, source, wanted)
    if as_it_is and _fits(rules, source):
        return as_it_is
    made = _without_loss(rules, source, wanted) or _with_loss(rules, source, wanted)
    return made or as_it_is


def _as_it_is(rules: Rules, source: Source, wanted: list[str]) -> Way | None:
    if source.has_picture:
        same = next((name for name in SAME_PACKETS.get(source.format, ()) if name in wanted), "")
        return Way(How.COPY, same) if same else None
    if source.format in wanted:
        return Way(How.COPY if rules.strips_metadata else How.KEEP, source.format)
    same = next((name for name in SAME_PACKETS.get(source.format, ()) if name in wanted), "")
    return Way(How.COPY, same) if same else None


def _fits(rules: Rules, source: Source) -> bool:
    """Whether its size and bit rate keep within the limits; a picture left out makes it smaller anyway."""
    too_large = rules.largest_mb and source.size_bytes > rules.largest_mb * 1_000_000
    too_dense = rules.highest_kbps and (source.kbps or 0) > rules.highest_kbps
    return source.has_picture or not (too_large or too_dense)


def _without_loss(rules: Rules, source: Source, wanted: list[str]) -> Way | None:
    name = next((name for name in ("flac", "wav") if name in wanted), None)
    if name is None or (source.format in LOSSLESS and not _fits(rules, source)):
        return None
    dense = rules.highest_kbps and rules.highest_kbps < LOSSLESS_KBPS
    return None if dense or _most_kbps(rules, source) < LOSSLESS_KBPS else Way(How.ENCODE, name)


def _with_loss(rules: Rules, source: Source, wanted: list[str]) -> Way | None:
    name = next((name for name in ("mp3", "m4a") if name in wanted), None)
    usual = max(USUAL_KBPS, rules.lowest_kbps or 0)
    most = min(usual, rules.highest_kbps or BIT_RATES[0], _most_kbps(rules, source))
    least = max(LEAST_KBPS, rules.lowest_kbps or 0)
    kbps = next((rate for rate in BIT_RATES if least <= rate <= most), None)
    if kbps is None and rules.lowest_kbps:
        kbps = next((rate for rate in reversed(BIT_RATES) if rate >= rules.lowest_kbps), None)
        kbps = kbps if kbps and kbps <= min(rules.highest_kbps or kbps, _most_kbps(rules, source)) else None
    return Way(How.ENCODE, name, kbps=kbps) if name and kbps else None


def _most_kbps(rules: Rules, source: Source) -> float:
    """The bit rate with which this length just keeps within the largest file."""
    if not rules.largest_mb:
        return float("inf")
    return FULL_SHARE * rules.largest_mb * 8000 / source.duration_s if source.duration_s else 0.0
