"""Where the print changes the tempo: new metronome marks, rit., accel., a tempo, along the played form.

Words are read by their stems in the languages printed music uses (common practice, no published source).
"""

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from repertoire.notation.score import Form, Score, TempoMark

STEADY, SLOWING, QUICKENING = "steady", "slowing", "quickening"
WORDS = (
    (STEADY, re.compile(r"a tempo|tempo primo|tempo i\b|l'istesso", re.IGNORECASE)),
    (SLOWING, re.compile(r"\brit|\brall|allarg|slarg|calando|morendo|smorz|slower", re.IGNORECASE)),
    (QUICKENING, re.compile(r"\baccel|string|affrett|faster", re.IGNORECASE)),
)
LONGEST_CHANGE_BARS = 4  # a rit. that no sign ends is taken to last this long


@dataclass(frozen=True, slots=True)
class PrintedTempo:
    """A stretch of the form under one tempo sign; positions are those of the form, both included."""

    first: int
    last: int
    kind: str
    pace: float  # of the last metronome mark, against the one the form begins under
    marked: bool  # whether the stretch begins with a sign of its own
    text: str = ""
    related: bool = True  # False where print does not say how this tempo follows from the first


def stretches(form: Form, *, begins_q_per_minute: float | None = None) -> tuple[PrintedTempo, ...]:
    """The form cut at its tempo signs.

    `begins_q_per_minute` is the music's own tempo where print begins without a mark, never the one a
    requirement asks for: later marks are read against what is printed, whatever tempo is asked.
    """
    signs = _signs(form.score.tempo_marks)
    if not form.bars:
        return ()
    keys = sorted(signs)
    starts: list[tuple[int, TempoMark | None]] = []
    before = None
    for bar in form.bars:
        arrived = before is None or bar.measure_index != before + 1
        at = bisect_right(keys, bar.measure_index) - 1
        sign = signs[keys[at]] if at >= 0 else None
        anew = not starts or (arrived and starts[-1][1] is not sign)
        if anew or bar.measure_index in signs:
            starts.append((bar.position, sign))
        before = bar.measure_index
    return tuple(_cut(form, starts, signs, begins_q_per_minute))


def under(printed: tuple[PrintedTempo, ...], position: int) -> PrintedTempo | None:
    """The stretch that holds at this position of the form; None between stretches."""
    return next((p for p in printed if p.first <= position <= p.last), None)


def _signs(marks: tuple[TempoMark, ...]) -> dict[int, TempoMark]:
    """The sign that rules each bar from here on: the last of a bar, a metronome mark before words."""
    signs: dict[int, TempoMark] = {}
    for mark in sorted(marks, key=lambda m: (m.measure_index, m.start_q)):
        known = signs.get(mark.measure_index)
        only_words = known and known.printed_bpm and not mark.printed_bpm and mark.start_q <= known.start_q
        if (mark.printed_bpm or _word_kind(mark.text)) and not only_words:
            signs[mark.measure_index] = mark
    return signs


def _word_kind(text: str) -> str | None:
    return next((kind for kind, words in WORDS if words.search(text)), None)


def _cut(
    form: Form,
    starts: Sequence[tuple[int, TempoMark | None]],
    signs: dict[int, TempoMark],
    begins: float | None,
) -> list[PrintedTempo]:
    found: list[PrintedTempo] = []
    base: float | None = None
    for number, (first, sign) in enumerate(starts):
        last = starts[number + 1][0] - 1 if number + 1 < len(starts) else len(form.bars) - 1
        kind = (sign and not sign.printed_bpm and _word_kind(sign.text)) or STEADY
        mark = _metronome(form.score, signs, sign)
        rate = mark.printed_bpm * mark.beat_unit_q if mark and mark.printed_bpm else begins
        base = rate if number == 0 else base
        related = number == 0 or mark is None or bool(base)
        pace = rate / base if rate and base else 1.0
        own = sign is not None and form.bars[first].measure_index == sign.measure_index
        text = sign.text if sign else ""
        end = min(last, first + LONGEST_CHANGE_BARS - 1) if kind != STEADY else last
        found.append(PrintedTempo(first, end, kind, pace, own, text, related))
        if end < last:
            found.append(PrintedTempo(end + 1, last, STEADY, pace, False, related=related))
    return found


def _metronome(score: Score, signs: dict[int, TempoMark], sign: TempoMark | None) -> TempoMark | None:
    """The metronome mark that holds under this sign: its own, or the last before it in print."""
    if sign is None:
        return None
    if "primo" in sign.text.lower():
        return score.first_metronome_mark
    upto = [m for k, m in sorted(signs.items()) if k <= sign.measure_index and m.printed_bpm]
    return upto[-1] if upto else None
