"""HTTP byte ranges (RFC 9110, section 14), without any request or file: text in, bounds out.

One range is answered with 206; several at once, other units and malformed headers are ignored, which the
RFC allows, so that the whole is sent with 200. A range beyond the end is refused with 416.
"""

import re
from dataclasses import dataclass

# No file is as long as a number of more than 18 digits.
_ONE_RANGE = re.compile(r"^\s*bytes\s*=\s*([0-9]{0,18})\s*-\s*([0-9]{0,18})\s*$", re.IGNORECASE)


class OutOfRange(Exception):
    """The range asked for lies beyond the end: answer 416."""


@dataclass(frozen=True, slots=True)
class ByteRange:
    first: int
    last: int  # inclusive

    @property
    def length(self) -> int:
        return self.last - self.first + 1

    def content_range(self, size: int) -> str:
        return f"bytes {self.first}-{self.last}/{size}"


def parse_range(header: str, *, size: int) -> ByteRange | None:
    """The one range asked for in a file of `size` bytes; None means the whole; raises OutOfRange."""
    match = _ONE_RANGE.match(header)
    if match is None or match.groups() == ("", ""):
        return None
    first_text, last_text = match.groups()
    if not first_text:
        return _last_bytes(int(last_text), size=size)
    first = int(first_text)
    last = int(last_text) if last_text else size - 1
    if last_text and last < first:
        return None
    if first >= size:
        raise OutOfRange
    return ByteRange(first, min(last, size - 1))


def _last_bytes(count: int, *, size: int) -> ByteRange:
    if count == 0 or size == 0:
        raise OutOfRange
    return ByteRange(max(0, size - count), size - 1)


def range_still_holds(if_range: str, *, etag: str) -> bool:
    """Whether If-Range names the file as it is; only strong tags count, and a date never matches."""
    return not if_range or if_range.strip() == etag
