"""The form as it was heard: bars in played order, restarts, what was left out, repeats taken or not.

Positions are indexes into the bars of the form asked for, measure indexes those of print; times are seconds.
Nothing is raised; a take in which nothing was recognised has no bars.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from recordings.analysis import sentences
from recordings.analysis.follow import endings
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.score_context import printed_jumps
from recordings.analysis.follow.segments import Alignment, Around, Segment
from repertoire.notation.score import Form
from repertoire.notation.sentence import Sentence

TWICE_BARS, TWICE_PAUSE_S = 3, 0.8  # so many bars again, begun so soon, were meant
WHOLE_SHARE = 0.6  # of a repeated stretch: fewer bars missing are bars left out, not a repeat


@dataclass(frozen=True, slots=True)
class MatchedBar:
    """One bar as it came along. Times in seconds; `attempt_left` marks a bar broken off before a restart."""

    position: int  # index of the bar in the form asked for
    measure_index: int
    measure_id: str
    bar: str
    pass_number: int
    start_s: float
    end_s: float
    attempt_left: bool


@dataclass(frozen=True, slots=True)
class Restart:
    """The player went back to `bar` at `time_s` without a sign telling so."""

    bar: str
    from_bar: str
    time_s: float


@dataclass(frozen=True, slots=True)
class MatchedForm:
    """What was played of the form asked for; `repeats` says which of them were taken.

    `around`: printed bars beside it that were heard, in played order. `complete`: every bar of the form came
    at least once for each of its passes.
    """

    bars: tuple[MatchedBar, ...]
    segments: tuple[Segment, ...]  # the attempt that counts for each event, in played order
    passes: tuple[int, ...]  # pass number of each of those segments
    restarts: tuple[Restart, ...]
    missed_positions: tuple[int, ...]  # positions of the form not heard
    left_out_measures: tuple[int, ...]  # printed bars not heard at all
    complete: bool
    repeats: Sentence
    spared_measures: frozenset[int] = frozenset()  # first endings that went with a repeat left out
    around: tuple[Around, ...] = ()


@dataclass(slots=True)
class _Visit:
    """One bar as it came along on the path; `left` once a restart plays it again."""

    position: int
    segments: list[Segment]
    left: bool = False


def read_form(form: Form, events: tuple[Event, ...], alignment: Alignment) -> MatchedForm:
    """Name what was played from the alignment's path.

    `events` are those of `form`, as the path indexes them. A step back without a printed sign is a restart:
    the bars before it that come again were an attempt. Only where some bars were played to their end and come
    again without a stop, or with other bars of the piece between, were they played twice.
    """
    links = printed_jumps(form)
    visits = [_Visit(events[v[0].event].position, v) for v in _visits(events, alignment.segments)]
    restarts: list[Restart] = []
    for number, visit in enumerate(visits[1:], start=1):
        before = visits[number - 1].position
        ordinary = visit.position == before + 1 or (before, visit.position) in links
        if (
            ordinary
            or visit.position > before
            or _played_twice(form, events, visits, number, alignment.around)
        ):
            continue
        restarts.append(
            Restart(_label(form, visit.position), _label(form, before), visit.segments[0].start_s)
        )
        _give_up(visits[:number], visit.position, {v.position for v in visits[number:]})
    _name_passes(form, events, visits)
    return replace(_summary(form, events, visits, restarts), around=alignment.around)


def _played_twice(
    form: Form, events: tuple[Event, ...], visits: list[_Visit], number: int, around: tuple[Around, ...]
) -> bool:
    """Whether the bars before this step back were no attempt: whole, some in number, and gone on from.

    Who plays a whole piece to its end and again from its beginning has played it a second time through.
    """
    last, back = visits[number - 1], visits[number]
    everything = len({bar.measure_index for bar in form.bars}) == len(form.score.measures)
    if everything and last.position == form.bars[-1].position and back.position == form.bars[0].position:
        return False
    final = max(event.index for event in events if event.position == last.position)
    whole = last.segments[-1].event == final and last.position - back.position >= TWICE_BARS - 1
    end_s, start_s = last.segments[-1].end_s, back.segments[0].start_s
    between = any(end_s <= bar.start_s and bar.end_s <= start_s for bar in around)
    return whole and (between or start_s - end_s <= TWICE_PAUSE_S)


def _give_up(visits: list[_Visit], back_to: int, later: set[int]) -> None:
    """Mark the latest run of bars from `back_to` on as played again, where they do come again."""
    for visit in reversed(visits):
        if visit.position < back_to:
            return
        visit.left = visit.left or visit.position in later
        if visit.position == back_to:
            return


def _name_passes(form: Form, events: tuple[Event, ...], visits: list[_Visit]) -> None:
    """Put each bar at the form's place for the time it came: the path may call a first time a second."""
    places: dict[int, list[int]] = {}
    for bar in form.bars:
        places.setdefault(bar.measure_index, []).append(bar.position)
    chain: dict[int, list[int]] = {}
    for event in events:
        chain.setdefault(event.position, []).append(event.index)
    counts: dict[int, int] = {}
    for visit in visits:
        measure = form.bars[visit.position].measure_index
        count = counts.get(measure, 0)
        if not visit.left:
            counts[measure] = count + 1
        place = places[measure][min(count, len(places[measure]) - 1)]
        here, there = chain[visit.position], chain.get(place, [])
        if place != visit.position and len(here) == len(there):
            visit.segments = [replace(s, event=there[s.event - here[0]]) for s in visit.segments]
            visit.position = place


def _bars(form: Form, visits: list[_Visit]) -> list[MatchedBar]:
    """Heard bars with their pass: how often the bar has come, tries that were given up not counted."""
    counts: dict[int, int] = {}
    bars = []
    for visit in visits:
        measure = form.score.measures[form.bars[visit.position].measure_index]
        count = counts.get(measure.index, 0) + 1
        if not visit.left:
            counts[measure.index] = count
        bars.append(
            MatchedBar(
                visit.position, measure.index, measure.measure_id, measure.number, count,
                visit.segments[0].start_s, visit.segments[-1].end_s, visit.left,
            )
        )  # fmt: skip
    return bars


def _visits(events: tuple[Event, ...], segments: tuple[Segment, ...]) -> list[list[Segment]]:
    """Segments grouped by bar as it came along; a jump begins a new bar even inside the same one."""
    visits: list[list[Segment]] = []
    for segment in segments:
        same = visits and events[visits[-1][-1].event].position == events[segment.event].position
        if same and segment.event > visits[-1][-1].event:
            visits[-1].append(segment)
        else:
            visits.append([segment])
    return visits


def _label(form: Form, position: int) -> str:
    return form.score.measures[form.bars[position].measure_index].number


def _summary(
    form: Form, events: tuple[Event, ...], visits: list[_Visit], restarts: list[Restart]
) -> MatchedForm:
    bars = _bars(form, visits)
    kept = [(v, bar) for v, bar in zip(visits, bars, strict=True) if not v.left]
    with_notes = {event.position for event in events}
    matched_positions = {bar.position for bar in bars}
    if bars:
        # a bar of rests between two heard bars is played by waiting
        edges = (min(matched_positions), max(matched_positions))
        silent = {b.position for b in form.bars if b.position not in with_notes}
        matched_positions |= {p for p in silent if edges[0] <= p <= edges[1]}
    matched_measures = {form.bars[p].measure_index for p in matched_positions}
    missed = tuple(b.position for b in form.bars if b.position not in matched_positions)
    spared = endings.not_needed(form, missed)
    left_out = tuple(sorted({b.measure_index for b in form.bars} - matched_measures - spared))
    passes_missing = [p for p in missed if form.bars[p].measure_index in matched_measures]
    extra = [b for b in bars if b.pass_number > _most_passes(form, b.measure_index) and not b.attempt_left]
    return MatchedForm(
        bars=tuple(_close_gaps(bars)),
        segments=tuple(s for v, _ in kept for s in v.segments),
        passes=tuple(bar.pass_number for v, bar in kept for _ in v.segments),
        restarts=tuple(restarts),
        missed_positions=missed,
        left_out_measures=left_out,
        complete=bool(bars) and not missed,
        spared_measures=spared,
        repeats=_repeats_text(form, passes_missing, extra, bars),
    )


def _most_passes(form: Form, measure_index: int) -> int:
    return sum(1 for bar in form.bars if bar.measure_index == measure_index)


def _close_gaps(bars: list[MatchedBar]) -> list[MatchedBar]:
    """Let a bar last until the next begins where the music goes on without a stop."""
    closed = []
    for bar, following in zip_longest(bars, bars[1:]):
        if following and following.position == bar.position + 1 and following.start_s > bar.start_s:
            bar = replace(bar, end_s=following.start_s)
        closed.append(bar)
    return closed


def _repeats_text(
    form: Form, missing: list[int], extra: list[MatchedBar], bars: list[MatchedBar]
) -> Sentence:
    if not bars:
        return sentences.REPEATS_NOTHING_HEARD()
    if extra:
        return sentences.REPEATS_ADDED(bars=label_ranges([(b.measure_index, b.bar) for b in extra]))
    sections = _sections(form)
    if not sections:
        return sentences.REPEATS_NONE_ASKED()
    left_out = sorted({b.measure_index for b in form.bars} - {b.measure_index for b in bars})
    gone, parts = repeats_left_out(form, missing, left_out)
    gone = gone + parts
    if not gone:
        return sentences.REPEATS_ALL_PLAYED()
    labels = tuple(label_ranges([(m, form.score.measures[m].number) for m in section]) for section in gone)
    if [set(g) for g in gone] == [set(s) for s in sections]:
        return sentences.REPEATS_NONE_PLAYED(bars=labels)
    return sentences.REPEATS_LEFT_OUT(bars=labels)


def _sections(form: Form) -> list[list[int]]:
    """Stretches of measures that come again in the form, each as it stands there the later time."""
    sections: list[list[int]] = []
    before = -2
    for bar in form.bars:
        if bar.pass_number == 1:
            continue
        if before == bar.position - 1 and bar.measure_index == sections[-1][-1] + 1:
            sections[-1].append(bar.measure_index)
        else:
            sections.append([bar.measure_index])
        before = bar.position
    return sections


def repeats_left_out(
    form: Form, missed_positions: Sequence[int], left_out_measures: Sequence[int]
) -> tuple[list[list[int]], list[list[int]]]:
    """Repeated stretches not played again, and smaller parts of some that were left out once.

    Both as measure indexes. Which of its passes the path calls the missing one means nothing: bars are
    named, not passes.
    """
    missing = {form.bars[p].measure_index for p in missed_positions} - set(left_out_measures)
    reported: set[int] = set()
    whole: list[list[int]] = []
    parts: list[list[int]] = []
    for section in _sections(form):
        part = [m for m in section if m in missing and m not in reported]
        reported |= set(part)
        if part:
            (whole if len(part) >= WHOLE_SHARE * len(section) else parts).append(part)
    return whole, parts


def label_ranges(bars: list[tuple[int, str]]) -> str:
    """Printed bar labels of (measure index, label) pairs as "3, 7-10"; neighbours are joined."""
    unique = sorted(dict(bars).items())
    runs: list[list[tuple[int, str]]] = []
    for index, label in unique:
        if runs and runs[-1][-1][0] == index - 1:
            runs[-1].append((index, label))
        else:
            runs.append([(index, label)])
    return ", ".join(r[0][1] if len(r) == 1 else f"{r[0][1]}-{r[-1][1]}" for r in runs)
