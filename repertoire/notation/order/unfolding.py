"""The order in which printed bars are played, unfolded from repeats, endings and jumps.

Meaning follows MusicXML 4.0: `<repeat>` (times, after-jump), `<ending>` (the passes it is for) and the
attributes of `<sound>`. Where MusicXML leaves it open, common practice (no published source): repeats are
not taken after a jump unless `after-jump` says so, and then the last ending is played; a repeat sign without
a start goes back to the end of the repeat before it; a jump in a bar that is also repeated is made after the
last pass. Signs that contradict each other are refused with the bar they stand in.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.order.navigation import MOST_TIMES, ending_numbers, tokens_of
from repertoire.notation.score import BadScore

MOST_PLAYED = 20_000  # bars; a printed score has at most 2000


@dataclass(slots=True)
class Repeat:
    """A stretch that is repeated; with endings, `spans` are (first bar, last bar, passes)."""

    start: int
    end: int
    times: int = 2
    after_jump: bool = False
    spans: list[tuple[int, int, frozenset[int]]] = field(default_factory=list)

    @property
    def passes(self) -> int:
        """How often it is played in all."""
        return max([self.times, *(number for span in self.spans for number in span[2])])


@dataclass(frozen=True, slots=True)
class Jump:
    """A jump from the end of one bar to the start of another, both measure indexes."""

    bar: int
    target: int
    times: frozenset[int]  # at which passes of its bar it is made; empty: the first time it is reached


def unfold(measures: Sequence[Element]) -> tuple[int, ...]:
    """Measure indexes in the order of play; raises `BadScore` with a sentence naming the bar."""
    repeats = _repeats(measures)
    jumps = _jumps(measures)
    codas = _codas(measures)
    fines = {k for k, measure in enumerate(measures) if tokens_of([measure], "fine")}
    return _Walk(len(measures), repeats, jumps, codas, fines).order()


class _Walk:
    def __init__(
        self, count: int, repeats: list[Repeat], jumps: list[Jump], codas: dict[int, int], fines: set[int]
    ) -> None:
        self.count, self.repeats, self.jumps, self.codas, self.fines = count, repeats, jumps, codas, fines
        self.passes = [1] * len(repeats)
        self.jumped = False
        self.made: set[Jump] = set()
        self.visits = [0] * count
        self.played: list[int] = []

    def order(self) -> tuple[int, ...]:
        bar = 0
        while bar < self.count:
            skipped = self._skipped(bar)
            if skipped is not None:
                bar = self._arrive(skipped)
                continue
            self.played.append(bar)
            self.visits[bar] += 1
            if len(self.played) > MOST_PLAYED:
                raise BadScore(messages.CONTRADICTORY())
            if self.jumped and bar in self.fines and not self._turns_back_at(bar):
                break
            bar = self._after(bar)
        return tuple(self.played)

    def _skipped(self, bar: int) -> int | None:
        """Where to go on when this bar begins an ending for other passes."""
        for index, repeat in enumerate(self.repeats):
            for first, last, passes in repeat.spans:
                if first == bar and self.passes[index] not in passes:
                    return last + 1
        return None

    def _turns_back_at(self, bar: int) -> bool:
        """Whether a repeat is still to be taken here; a Fine at its end holds for the last pass."""
        return any(
            _turns_back(repeat, bar) and self.passes[index] < repeat.passes
            for index, repeat in enumerate(self.repeats)
        )

    def _after(self, bar: int) -> int:
        if self.jumped and bar in self.codas:
            return self._arrive(self.codas[bar], jumping=True)
        inner_first = sorted(enumerate(self.repeats), key=lambda pair: -pair[1].start)
        for index, repeat in inner_first:
            if not _turns_back(repeat, bar):
                continue
            if self.passes[index] < repeat.passes:
                self.passes[index] += 1
                return self._arrive(repeat.start, again=index)
            if repeat.spans and repeat.end > bar:
                return self._jump_from(bar, self._arrive(repeat.end + 1))
        return self._jump_from(bar, bar + 1)

    def _jump_from(self, bar: int, next_bar: int) -> int:
        for jump in self.jumps:
            due = self.visits[bar] in jump.times if jump.times else jump not in self.made
            if jump.bar == bar and due and jump not in self.made:
                self.made.add(jump)
                self.jumped = True
                return self._arrive(jump.target, jumping=True)
        return self._arrive(next_bar)

    def _arrive(self, bar: int, *, again: int | None = None, jumping: bool = False) -> int:
        """Count the passes of repeats that are entered here anew."""
        for index, repeat in enumerate(self.repeats):
            inside = repeat.start <= bar <= repeat.end
            if index != again and (repeat.start == bar or (jumping and inside)):
                fresh = not self.jumped or repeat.after_jump
                self.passes[index] = 1 if fresh else repeat.passes
        return bar


def _turns_back(repeat: Repeat, bar: int) -> bool:
    return any(last == bar for _, last, _ in repeat.spans) if repeat.spans else repeat.end == bar


def _repeats(measures: Sequence[Element]) -> list[Repeat]:
    """Repeats with their endings; starts and ends belong together as brackets do."""
    starts: list[int] = []
    free = 0  # where a repeat begins whose start is not printed
    found: list[Repeat] = []
    groups = {group[0][0]: group for group in _ending_groups(measures)}
    last_of_group = -1
    for k, measure in enumerate(measures):
        marks = {mark.get("direction"): mark for mark in measure.iterfind("barline/repeat")}
        if "forward" in marks:
            starts.append(k)
        if k in groups:
            group = groups[k]
            last_of_group = group[-1][1]
            start = starts.pop() if starts else free
            found.append(
                Repeat(start=start, end=last_of_group, times=_times_of(measures, group), spans=group)
            )
            free = last_of_group + 1
        elif "backward" in marks and k > last_of_group:
            start = starts.pop() if starts else free
            times = (marks["backward"].get("times") or "").strip()
            found.append(
                Repeat(
                    start=start,
                    end=k,
                    times=max(1, min(MOST_TIMES, int(times))) if times.isdecimal() else 2,
                    after_jump=marks["backward"].get("after-jump") == "yes",
                )
            )
            free = k + 1
    return found


def _times_of(measures: Sequence[Element], group: list[tuple[int, int, frozenset[int]]]) -> int:
    """A lone first ending that turns back is played once, and then passed over."""
    alone = group[-1]
    turns = measures[alone[1]].find("barline/repeat[@direction='backward']") is not None
    return 2 if turns and len(group) == 1 and alone[2] == {1} else 1


def _ending_groups(measures: Sequence[Element]) -> list[list[tuple[int, int, frozenset[int]]]]:
    """Endings that follow each other directly, with the passes each is for."""
    groups: list[list[tuple[int, int, frozenset[int]]]] = []
    opened: tuple[int, frozenset[int]] | None = None
    for k, measure in enumerate(measures):
        for ending in measure.iterfind("barline/ending"):
            if ending.get("type") == "start":
                opened = k, frozenset(ending_numbers(ending.get("number", "")))
            elif opened is not None:
                span = (opened[0], k, opened[1])
                if groups and groups[-1][-1][1] + 1 == span[0] and not groups[-1][-1][2] & span[2]:
                    groups[-1].append(span)
                else:
                    groups.append([span])
                opened = None
    for group in groups:
        _check_group(measures, group)
    return groups


def _check_group(measures: Sequence[Element], group: list[tuple[int, int, frozenset[int]]]) -> None:
    meant = frozenset().union(*(passes for _, _, passes in group))
    bar = measures[group[0][0]].get("number", "")
    if not meant:
        raise BadScore(messages.ENDING_UNNUMBERED(bar=bar))
    if max(meant) > MOST_TIMES:
        raise BadScore(messages.TOO_MANY_TIMES(bar=bar, limit=MOST_TIMES))
    missing = next((number for number in range(1, max(meant)) if number not in meant), None)
    if missing is not None:
        raise BadScore(messages.ENDING_MISSING(bar=bar, number=max(meant), missing=missing))


def check_nesting(measures: Sequence[Element]) -> None:
    """Refuse an ending inside another one; one that is merely never closed is no contradiction."""
    opened: str | None = None
    left_open: set[str] = set()
    for measure in measures:
        for ending in measure.iterfind("barline/ending"):
            number = ending.get("number", "")
            if ending.get("type") == "start":
                left_open |= {opened} if opened is not None else set()
                opened = number
            elif opened == number:
                opened = None
            elif number in left_open:
                raise BadScore(messages.ENDING_NESTED(bar=measure.get("number", "")))


def _jumps(measures: Sequence[Element]) -> list[Jump]:
    segnos = _places(measures, "segno")
    found = []
    for k, measure in enumerate(measures):
        bar = measure.get("number", "")
        for sound in measure.iter("sound"):
            times = frozenset(ending_numbers(sound.get("time-only", "")))
            if sound.get("dacapo") == "yes":
                found.append(Jump(k, 0, times))
            token = sound.get("dalsegno")
            if token:
                target = _target(segnos, token)
                if target is None:
                    raise BadScore(messages.NO_SEGNO(bar=bar))
                if target > k:
                    later = measures[target].get("number", "")
                    raise BadScore(messages.SEGNO_LATER(bar=bar, later=later))
                found.append(Jump(k, target, times))
    return found


def _codas(measures: Sequence[Element]) -> dict[int, int]:
    """Bars after which the coda is played, once a jump was made, and where it begins."""
    codas = _places(measures, "coda")
    found = {}
    for k, measure in enumerate(measures):
        for token in tokens_of([measure], "tocoda"):
            target = _target(codas, token)
            bar = measure.get("number", "")
            if target is None:
                raise BadScore(messages.NO_CODA(bar=bar))
            if target <= k:
                earlier = measures[target].get("number", "")
                raise BadScore(messages.CODA_EARLIER(bar=bar, earlier=earlier))
            found[k] = target
    return found


def _places(measures: Sequence[Element], name: str) -> list[tuple[str, int]]:
    """Tokens and bars of the signs jumped to; a sign in a right barline belongs to the bar after it."""
    found = []
    for k, measure in enumerate(measures):
        found += [(token, k) for token in tokens_of([measure], name)]
        for barline in measure.findall("barline"):
            right = barline.get("location", "right") == "right"
            if barline.get(name):
                found.append((barline.get(name, ""), min(k + right, len(measures) - 1)))
    return found


def _target(places: list[tuple[str, int]], token: str) -> int | None:
    """The bar of the sign with this token; programs that name them loosely print only one."""
    named = [k for name, k in places if name == token]
    if named:
        return named[0]
    return places[0][1] if len(places) == 1 else None
