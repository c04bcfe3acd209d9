"""Findings about what was played: bars left out, repeats, jumps, cuts, stops and new starts.

Printed bar labels and seconds; positions are those of the form. Nothing is raised.
"""

from collections.abc import Collection, Sequence

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm, repeats_left_out
from recordings.analysis.tell.finding import Finding
from recordings.analysis.tell.places import bars_text, named, place
from repertoire.notation.score import Form, Score
from repertoire.notation.sentence import Sentence

BESIDE_BARS, BESIDE_WEIGHT = 2, 40.0
STOP_ALLOWED = 5.0  # weight of an end the rules allow: told after everything else


def whole(
    form: Form,
    matched: MatchedForm,
    *,
    may_be_stopped: bool = False,
    asked: Form | None = None,
    lost: bool = False,
) -> list[Finding]:
    """Stops, late beginnings, bars left out, repeats, new starts; no stop where the path only got `lost`."""
    found = [
        *_left_out(form, matched, may_be_stopped, lost),
        *_repeats(form, matched),
        *_added(asked or form, matched),
        *_beside_what_is_asked(asked or form, matched),
    ]
    for restart in matched.restarts:
        ended = restart.from_bar == form.score.measures[form.bars[-1].measure_index].number
        code = sentences.FIND_PLAYED_THROUGH_AGAIN if ended else sentences.FIND_RESTART
        text = code.of(bar=restart.bar, from_bar=restart.from_bar)
        found.append(
            Finding(
                "restart",
                restart.bar,
                (restart.bar,),
                None,
                max(restart.time_s - 4, 0),
                restart.time_s + 4,
                text,
                60.0,
                evidence={"time_s": restart.time_s},
            )
        )
    return found


def _left_out(form: Form, matched: MatchedForm, may_be_stopped: bool, lost: bool) -> list[Finding]:
    score, gone = form.score, set(matched.left_out_measures)
    measures = sorted({b.measure_index for b in form.bars})
    first, last = matched.bars[0], matched.bars[-1]
    tail = [m for m in measures if m in gone and m > last.measure_index]
    head = [m for m in measures if m in gone and m < min(b.measure_index for b in matched.bars)]
    middle = [m for m in sorted(gone) if m not in tail and m not in head]
    again = _stopped_in_repeat(form, matched)
    if lost:
        tail, again = [], []
    found = []
    if (tail or again) and may_be_stopped:
        text = sentences.FIND_STOPPED_ALLOWED(bar=last.bar)
        found.append(_form_finding("stopped_early", score, tail or again, text, last.end_s, STOP_ALLOWED))
    elif tail:
        text = sentences.FIND_STOPPED(bar=last.bar, bars=named(score, tail))
        found.append(_form_finding("stopped_early", score, tail, text, last.end_s, 95.0))
    elif again:
        text = sentences.FIND_STOPPED_AGAIN(bar=last.bar, bars=named(score, again))
        found.append(_form_finding("stopped_early", score, again, text, last.end_s, 80.0))
    if head:
        text = sentences.FIND_BEGAN_LATE(bar=first.bar, bars=named(score, head))
        found.append(_form_finding("began_late", score, head, text, first.start_s, 90.0))
    if middle:
        before = [b for b in matched.bars if b.measure_index < middle[0]]
        text = sentences.FIND_LEFT_OUT(place=place(score, middle))
        at_s = before[-1].end_s if before else None
        found.append(_form_finding("left_out", score, middle, text, at_s, 85.0))
    return found


def _stopped_in_repeat(form: Form, matched: MatchedForm) -> list[int]:
    """Bars not played again because the take ends amid a later pass; none where it ends at the form's end."""
    last = matched.bars[-1]
    if last.measure_index == form.bars[-1].measure_index:
        return []
    missed = set(matched.missed_positions)
    rest = [b for b in form.bars if b.position > last.position]
    if not rest or any(b.position not in missed for b in rest):
        return []
    return [b.measure_index for b in rest if b.measure_index not in matched.left_out_measures]


def _form_finding(
    kind: str, score: Score, measures: Sequence[int], text: Sentence, at_s: float | None, weight: float
) -> Finding:
    labels = tuple(score.measures[m].number for m in measures)
    start, end = (max(at_s - 4, 0), at_s + 3) if at_s is not None else (None, None)
    return Finding(kind, bars_text(score, measures), labels, None, start, end, text, weight)


def _repeats(form: Form, matched: MatchedForm) -> list[Finding]:
    stopped = set(_stopped_in_repeat(form, matched))
    last = matched.bars[-1].position
    missed = [
        p for p in matched.missed_positions if not (p > last and form.bars[p].measure_index in stopped)
    ]  # fmt: skip
    whole, parts = repeats_left_out(form, missed, matched.left_out_measures)
    late = [part for part in [*whole, *parts] if _came_only_later(form, matched, part)]
    whole, parts = ([p for p in group if p not in late] for group in (whole, parts))
    found = [_began_in_repeat(form, matched, part) for part in late]
    found += [_part_left_out(form, matched, part) for part in parts]
    jumps = [section for section in whole if _repeats_by_jump(form, section)]
    repeats = [section for section in whole if section not in jumps]
    for section in jumps:
        text = sentences.FIND_JUMP_LEFT_OUT(bars=named(form.score, section))
        found.append(_repeat_finding(form, matched, [section], text))
    if repeats:
        bars = tuple(named(form.score, section) for section in repeats)
        text = sentences.FIND_REPEAT_LEFT_OUT(bars=bars, count=len(repeats))
        found.append(_repeat_finding(form, matched, repeats, text))
    return found


def _came_only_later(form: Form, matched: MatchedForm, part: list[int]) -> bool:
    """Whether these bars, missing once, are those from the piece's first bar to where the take begins."""
    first = matched.bars[0].measure_index
    return part == list(range(form.bars[0].measure_index, first))


def _began_in_repeat(form: Form, matched: MatchedForm, part: list[int]) -> Finding:
    first = matched.bars[0]
    text = sentences.FIND_BEGAN_IN_REPEAT(bar=first.bar, bars=named(form.score, part), count=len(part))
    return _form_finding("began_late", form.score, part, text, first.start_s, 90.0)


def _beside_what_is_asked(form: Form, matched: MatchedForm) -> list[Finding]:
    """Bars of the piece heard before and after those asked for; a bar or two may be an upbeat or a close."""
    asked = {bar.measure_index for bar in form.bars}
    found = []
    for kind, code, there in (
        ("began_before", sentences.FIND_BEGAN_BEFORE, lambda m: m < min(asked)),
        ("played_on", sentences.FIND_PLAYED_ON, lambda m: m > max(asked)),
    ):
        heard = [bar for bar in matched.around if there(bar.measure_index)]
        bars = sorted({bar.measure_index for bar in heard})
        if len(bars) < BESIDE_BARS:
            continue
        text = code(bars=named(form.score, bars))
        labels = tuple(form.score.measures[m].number for m in bars)
        start_s, end_s = heard[0].start_s, max(bar.end_s for bar in heard)
        found.append(
            Finding(kind, bars_text(form.score, bars), labels, None, start_s, end_s, text, BESIDE_WEIGHT)
        )
    return found


def _repeats_by_jump(form: Form, section: list[int]) -> bool:
    """Whether these bars come again even without repeats: by da capo or dal segno."""
    plain = form.score.order_without_repeats
    return all(plain.count(m) > 1 for m in section)


def _repeat_finding(form: Form, matched: MatchedForm, sections: list[list[int]], text: Sentence) -> Finding:
    bars = sorted({m for section in sections for m in section})
    at_s = _time_of(matched, sections[0][-1])
    return _form_finding("repeat_left_out", form.score, bars, text, at_s, 70.0)


def _part_left_out(form: Form, matched: MatchedForm, part: list[int]) -> Finding:
    text = sentences.FIND_LEFT_OUT_ONCE(place=place(form.score, part))
    return _form_finding("left_out", form.score, part, text, _time_of(matched, max(part[0] - 1, 0)), 65.0)


def _added(form: Form, matched: MatchedForm) -> list[Finding]:
    counts: dict[int, int] = {}
    for bar in matched.bars:
        if not bar.attempt_left:
            counts[bar.measure_index] = max(counts.get(bar.measure_index, 0), bar.pass_number)
    asked: dict[int, int] = {}
    for played in form.bars:
        asked[played.measure_index] = asked.get(played.measure_index, 0) + 1
    added = sorted(m for m, count in counts.items() if count > max(asked.get(m, 0), 1))
    if not added:
        return []
    text = sentences.FIND_REPEAT_ADDED(bars=named(form.score, added))
    return [_form_finding("repeat_added", form.score, added, text, _time_of(matched, added[-1]), 50.0)]


def cuts_not_made(form: Form, matched: MatchedForm, cuts: Collection[int]) -> list[Finding]:
    """Bars played that the form asked for leaves out."""
    played = sorted({bar.measure_index for bar in matched.bars} & set(cuts))
    if not played:
        return []
    text = sentences.FIND_CUT_NOT_MADE(bars=named(form.score, played))
    return [_form_finding("cut_not_made", form.score, played, text, _time_of(matched, played[0]), 75.0)]


def _time_of(matched: MatchedForm, measure_index: int) -> float | None:
    times = [bar.end_s for bar in matched.bars if bar.measure_index == measure_index]
    return times[0] if times else None
