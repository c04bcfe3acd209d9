"""What an outside body asks of what is sent to it, as data.

Pure: no Django, no database, no clock. Bodies differ in every one of these, so none of them is a constant;
None, 0-length and "free" mean that a body says nothing about it.
"""

from dataclasses import dataclass
from enum import StrEnum

# Audio and video files by the name people know them under; what phones, recorders and browsers make.
FORMATS = ("mp3", "m4a", "wav", "flac", "ogg", "aiff", "mp4", "webm")
VIDEO_FORMATS = frozenset({"mp4", "webm"})
# Can be decoded to exactly what was recorded.
LOSSLESS = frozenset({"wav", "flac", "aiff"})


class FilePlan(StrEnum):
    EACH = "each"
    ONE = "one"


class Picture(StrEnum):
    EITHER = "either"
    SOUND = "sound"
    VIDEO = "video"


class Announcement(StrEnum):
    FREE = "free"
    REQUIRED = "required"
    FORBIDDEN = "forbidden"


class Order(StrEnum):
    AS_SET = "as_set"
    ETUDES_FIRST = "etudes_first"
    SCALES_FIRST = "scales_first"


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of one body for one audition; lengths in seconds, sizes in MB of 1,000,000 bytes."""

    files: str = FilePlan.EACH
    picture: str = Picture.EITHER
    formats: tuple[str, ...] = ()
    longest_s: int | None = None
    largest_mb: int | None = None
    announcement: str = Announcement.FREE
    judged_blind: bool = False
    name_pattern: str = "{number} {music}"
    student_statement: str = ""
    guardian_statement: str = ""
    place: str = ""
    shortest_s: int | None = None
    longest_total_s: int | None = None
    largest_total_mb: int | None = None
    most_files: int | None = None
    lowest_kbps: int | None = None
    highest_kbps: int | None = None
    without_metadata: bool = False
    order: str = Order.AS_SET
    notes: str = ""

    @property
    def strips_metadata(self) -> bool:
        """Whoever judges blind may not read a name out of the file either."""
        return self.judged_blind or self.without_metadata

    @property
    def allowed(self) -> tuple[str, ...]:
        """Formats that may be sent; all there are where the body names none."""
        return self.formats or FORMATS
