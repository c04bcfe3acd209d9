"""Lengths, sizes and bit rates beside a body's limits. Pure."""

from recordings.sending import sentences as say
from recordings.sending.facts import (
    Check,
    ChosenTake,
    Found,
    Submission,
    broken,
    files_of,
    kept,
    left_open,
    or_kept,
)
from recordings.sending.ways import How, way
from studio.sending.rules import Rules

# An average over a whole file is seldom exactly the rate it was made with: a choice, no published source.
FULL_RATE = 0.97


def lengths(rules: Rules, submission: Submission) -> Found:
    files = files_of(rules, submission)
    if not files or not (rules.longest_s or rules.shortest_s or rules.longest_total_s):
        return
    yield from (
        left_open(say.LENGTH_UNKNOWN(music=music)) for music, take in files if not take.source.duration_s
    )
    known = [(music, take.source.duration_s) for music, take in files if take.source.duration_s]
    if most := rules.longest_s:
        too_long = [
            broken(say.TOO_LONG(music=music, length=clock(length), most=clock(most)))
            for music, length in known
            if length > most
        ]
        yield from or_kept(too_long, say.NOT_LONGER(most=clock(most))) if known else ()
    if least := rules.shortest_s:
        too_short = [
            broken(say.TOO_SHORT(music=music, length=clock(length), least=clock(least)))
            for music, length in known
            if length < least
        ]
        yield from or_kept(too_short, say.NOT_SHORTER(least=clock(least))) if known else ()
    if (most := rules.longest_total_s) and len(known) == len(files):
        total = sum(length for _, length in known)
        told = {"length": clock(total), "most": clock(most)}
        fits = total <= most
        yield kept(say.TOGETHER_NOT_LONGER(**told)) if fits else broken(say.TOGETHER_TOO_LONG(**told))


def size_to_come(rules: Rules, take: ChosenTake) -> float | None:
    """Bytes of the file that is sent, as far as they can be told before it is made."""
    found = way(rules, take.source)
    if take.made_bytes is not None:
        return take.made_bytes
    if found and found.how is How.ENCODE:
        return found.kbps * 125 * take.source.duration_s if found.kbps and take.source.duration_s else None
    return None if found and take.source.has_picture and not found.with_picture else take.source.size_bytes


def sizes(rules: Rules, submission: Submission) -> Found:
    files = files_of(rules, submission)
    if not files or not (rules.largest_mb or rules.largest_total_mb):
        return
    sizes = [(music, size_to_come(rules, take)) for music, take in files]
    known = [(music, size / 1_000_000) for music, size in sizes if size is not None]
    yield from (left_open(say.SIZE_WHEN_MADE(music=music)) for music, size in sizes if size is None)
    if most := rules.largest_mb:
        too_large = [
            broken(say.TOO_LARGE(music=music, size=_tenths(size), most=most))
            for music, size in known
            if size > most
        ]
        yield from or_kept(too_large, say.SMALL_ENOUGH(most=most)) if known else ()
    if (most := rules.largest_total_mb) and len(known) == len(files):
        total = sum(size for _, size in known)
        fits = total <= most
        too_large_sentence = say.TOGETHER_TOO_LARGE(size=_tenths(total), most=most)
        yield kept(say.TOGETHER_SMALL_ENOUGH(most=most)) if fits else broken(too_large_sentence)


def bit_rates(rules: Rules, submission: Submission) -> Found:
    if not (rules.lowest_kbps or rules.highest_kbps):
        return
    files = files_of(rules, submission)
    found: list[Check] = []
    for music, take in files:
        found += _bit_rate(rules, music, _kbps_to_come(rules, take))
    if files:
        yield from or_kept(found, say.RATE_FITS())


def _kbps_to_come(rules: Rules, take: ChosenTake) -> float | None:
    found = way(rules, take.source)
    if found and found.how is How.ENCODE:
        return found.kbps
    return take.source.kbps


def _bit_rate(rules: Rules, music: str, kbps: float | None) -> Found:
    if kbps is None:
        yield left_open(say.RATE_UNKNOWN(music=music))
    elif rules.lowest_kbps and round(kbps) < rules.lowest_kbps * FULL_RATE:
        yield broken(say.RATE_LOW(music=music, kbps=round(kbps), least=rules.lowest_kbps))
    elif rules.highest_kbps and round(kbps) > rules.highest_kbps / FULL_RATE:
        yield broken(say.RATE_HIGH(music=music, kbps=round(kbps), most=rules.highest_kbps))


def clock(seconds: float) -> str:
    """ "4:30", rounded up, so that what is over a limit never reads as the limit."""
    whole = int(seconds) if seconds == int(seconds) else int(seconds) + 1
    return f"{whole // 60}:{whole % 60:02}"


def _tenths(megabytes: float) -> float:
    """Up to the next tenth, for the same reason."""
    return -(-megabytes * 10 // 1) / 10
