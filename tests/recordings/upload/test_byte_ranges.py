import pytest

from recordings.upload.byte_ranges import ByteRange, OutOfRange, parse_range, range_still_holds


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("bytes=0-99", ByteRange(0, 99)),
        ("bytes=100-", ByteRange(100, 999)),
        ("bytes=-200", ByteRange(800, 999)),
        ("bytes=-5000", ByteRange(0, 999)),
        ("bytes=990-2000", ByteRange(990, 999)),
        ("bytes=999-999", ByteRange(999, 999)),
        ("BYTES = 1 - 2", ByteRange(1, 2)),
    ],
)
def test_one_range(header, expected):
    assert parse_range(header, size=1000) == expected


@pytest.mark.parametrize(
    "header",
    [
        "",
        "bytes=",
        "bytes=-",
        "bytes=5-3",
        "bytes=a-b",
        "lines=0-1",
        "bytes=0-1,5-6",
        "bytes=--5",
        "junk",
        "bytes=" + "9" * 5000 + "-",
    ],
)
def test_what_is_ignored_means_the_whole(header):
    assert parse_range(header, size=1000) is None


@pytest.mark.parametrize(("header", "size"), [("bytes=1000-", 1000), ("bytes=-0", 1000), ("bytes=0-", 0)])
def test_beyond_the_end(header, size):
    with pytest.raises(OutOfRange):
        parse_range(header, size=size)


def test_length_and_words():
    part = ByteRange(100, 199)
    assert part.length == 100
    assert part.content_range(1000) == "bytes 100-199/1000"


@pytest.mark.parametrize(
    ("if_range", "holds"),
    [
        ("", True),
        ('"abc"', True),
        ('"other"', False),
        ('W/"abc"', False),
        ("Wed, 25 Nov 2026 09:00:00 GMT", False),
    ],
)
def test_if_range(if_range, holds):
    assert range_still_holds(if_range, etag='"abc"') is holds
