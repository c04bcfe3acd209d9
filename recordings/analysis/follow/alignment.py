"""Where each printed note was played, and in which order the bars came.

A note-level hidden semi-Markov model (viterbi.py) over the bars in their printed form, with cheap
edges for repeats taken or left out, dearer jumps to the start of any bar for restarts, pauses of
any length, skipped notes, wrong pitches, and a free start and end. First at a few tempos around the
marked one, then once more with the tempo found.
"""

import itertools
from dataclasses import dataclass, replace

import numpy as np

from recordings.analysis.follow import observation, score_context, viterbi
from recordings.analysis.follow.events import Event, build
from recordings.analysis.sound.features import Features
from repertoire.notation.score import Form

TEMPO_RATIOS = (1.0, 0.5, 0.71, 1.41)  # of the marked tempo; log-normal durations bridge the gaps
FIRST_SIGMA, SECOND_SIGMA = 0.55, 0.28  # width of the durations' log-normal
# costs in nats; chosen on synthetic takes, November 2026
SKIP_COST = 13.0
JUMP_COST = 40.0
EDGE_COST = 7.0
WRONG_COST = 5.0
WRONG_FRAME_COST = 0.9
WRONG_MOST = 13.0  # a long wrong note is one mistake
TALK_FRAME_COST = 0.9
AFTER_FRAME_COST = 0.15  # anything heard after the piece's end: a scale, a chord, talk
AGAIN_NOTES, AGAIN_SHARE, AGAIN_UNEVEN = 6, 0.9, 0.3  # what is believed to be a new start after the end
SILENT_NOTE_COST = 2.5
PAUSE_FRAME_COST = 0.12  # where no rest is printed
LATE_START_COST = 12.0
WIDE_START_COST = 8.0  # beginning with the bars around those asked for
EARLY_END_COST = 5.0
LOOSE_FIT = -2.5  # mean log-fit under which a note at either end is not believed
WARM_UP_NOTES, WARM_UP_PAUSE_S = 16, 1.0
BEAM = 90.0
BAND = 1600  # events; most excerpts have fewer, and no jump further than half of it is looked for
ATTACK_GAIN, ATTACK_MOST = 5.0, 4.0
ATTACK_THRESHOLD = 0.25
FIT_BEFORE_TRYING_TRANSPOSITION = 0.08  # how much better another place must match the pitches heard


@dataclass(frozen=True, slots=True)
class Segment:
    """One event as played: `event` indexes the form's events; times in seconds."""

    event: int
    start_s: float
    end_s: float
    wrong_pitch: bool
    jumped: bool  # it does not follow the event before it
    fit: float  # mean log-fit per frame of the printed pitches, 0 is perfect, -6 none
    silent_share: float


@dataclass(frozen=True, slots=True)
class Alignment:
    """Segments in played order; `seconds_per_quarter` is the tempo the second pass assumed."""

    segments: tuple[Segment, ...]
    seconds_per_quarter: float
    shift: int
    score: float  # mean gain per frame over hearing nothing of the piece
    observations: observation.Observations


def align(
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    *,
    seconds_per_quarter: float,
    tuning_cents: float,
) -> Alignment:
    """The best path; an empty take or a form without notes gives no segments.

    Bars of the score around the form are listened for as well and then left away: an excerpt may be
    played with more than was asked.
    """
    wide, bars_before = score_context.widen(form)
    wide_events = build(wide) if wide is not form else events
    first = sum(event.position < bars_before for event in wide_events)
    asked = range(first, first + len(events))
    candidates = [0]
    if len(features.spectra) and events:
        candidates = _shifts(features, events, tuning_cents)
    best: Alignment | None = None
    for shift in candidates:
        found = _align_at(features, wide, wide_events, asked, seconds_per_quarter, tuning_cents, shift)
        # another place must be clearly better than the printed one
        if best is None or found.score > best.score + 0.1:
            best = found
    assert best is not None
    kept = [replace(s, event=s.event - first) for s in best.segments if s.event in asked]
    return replace(best, segments=_without_warm_up(form, events, kept))


def _without_warm_up(form: Form, events: tuple[Event, ...], segments: list[Segment]) -> tuple[Segment, ...]:
    """Drop a few notes from elsewhere before the first bar begins: a scale, tuning, a bar tried out."""
    opening = form.bars[0].measure_index if form.bars else -1

    def opens(segment: Segment) -> bool:
        event = events[segment.event]
        return event.first_in_bar and form.bars[event.position].measure_index == opening

    if not segments or opens(segments[0]):
        return tuple(segments)
    for before, (i, segment) in zip(segments, enumerate(segments[1 : WARM_UP_NOTES + 1], 1), strict=False):
        if opens(segment) and (segment.jumped or segment.start_s - before.end_s > WARM_UP_PAUSE_S):
            return tuple(segments[i:])
    return tuple(segments)


def _align_at(features, form, events, asked, seconds_per_quarter, tuning_cents, shift) -> Alignment:
    if not events or not len(features.spectra):
        empty = np.zeros((0, 0), dtype=np.float32)
        nothing = observation.Observations(empty, empty, 0, np.zeros(0), np.zeros(0))
        return Alignment((), seconds_per_quarter, shift, 0.0, nothing)
    sets, columns = _pitch_sets(events)
    observed = observation.observe(features, sets, tuning_cents=tuning_cents, shift=shift)
    model = _Model(features, form, events, columns, observed, asked)
    runs = [
        (ratio, model.run(np.full(len(events), seconds_per_quarter / ratio), FIRST_SIGMA))
        for ratio in TEMPO_RATIOS
    ]
    ratio, (path, score) = max(runs, key=lambda item: item[1][1])
    for _ in range(2):
        local = _local_tempo(path, events, features.frame_s, seconds_per_quarter / ratio)
        again, again_score = model.run(local, SECOND_SIGMA)
        if again_score < score - 1e-6 and _ > 0:
            break
        path, score = again, again_score
    if _only_jumped_to_the_end(path, events, asked.stop - 1):
        path, score = model.run(local, SECOND_SIGMA, after_fit=model.pause_fit)
    if (cut := _other_music_after(path, events, asked.stop - 1)) is not None:
        path, score = model.run(local, SECOND_SIGMA, jumps_until=cut)
    segments = _without_loose_ends(model.segments(path))
    return Alignment(
        segments, float(np.median(local)), shift, score / max(1, len(features.spectra)), observed
    )


def _other_music_after(path, events: tuple[Event, ...], final: int) -> int | None:
    """The boundary at which the path leaves a piece played to its end for what is not the piece again.

    Whatever is played then, some bar resembles it a little; a real new start has its notes in their rhythm.
    """
    cut = None
    breaks = [i for i, step in enumerate(path) if i and step[4] == viterbi.FROM_JUMP]
    for first, last in itertools.pairwise([*breaks, len(path)][::-1]):
        if _is_played_again(path[last:first], events):
            break
        if final - 2 <= path[last - 1][0] <= final:
            cut = path[last][1]
    return cut


def _only_jumped_to_the_end(path, events: tuple[Event, ...], final: int) -> bool:
    """Whether the piece's end is only a few notes jumped to, so that what follows would cost little."""
    breaks = [i for i, step in enumerate(path) if i and step[4] == viterbi.FROM_JUMP]
    return bool(breaks) and path[-1][0] == final and not _is_played_again(path[breaks[-1] :], events)


def _is_played_again(path, events: tuple[Event, ...]) -> bool:
    right = sum(not wrong for _, _, _, wrong, _ in path)
    steps = list(itertools.pairwise(path))
    skipped = sum(max(after[0] - before[0] - 1, 0) for before, after in steps)
    if right < AGAIN_NOTES or right < AGAIN_SHARE * (len(path) + skipped):
        return False
    pace = np.array([
        np.log((after[1] - before[1]) / events[before[0]].length_q)
        for before, after in steps if after[0] == before[0] + 1
    ])  # fmt: skip
    return float(np.median(np.abs(pace - np.median(pace)))) < AGAIN_UNEVEN if pace.size else False


def _without_loose_ends(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Drop what at either end matches the score no better than by chance: talk, or other music.

    Kept is the stretch with the largest surplus of matching notes over wrong and skipped ones; one
    unmatched note at an end stays, it may be a mistake.
    """
    best, best_range, total, start = 0.5, (0, 0), 0.0, 0
    for i, segment in enumerate(segments):
        skipped = segment.event - segments[i - 1].event - 1 if i and not segment.jumped else 0
        total -= 0.5 * min(max(skipped, 0), 4)
        if total < 0:
            total, start = 0.0, i
        total += 1 if not segment.wrong_pitch and segment.fit > LOOSE_FIT else -1
        if total < 0:
            total, start = 0.0, i + 1
        if total >= best:
            best, best_range = total, (start, i + 1)
    first, last = best_range
    if last == first:
        return ()
    return segments[first if first > 1 else 0 : last if len(segments) - last > 1 else len(segments)]


def _pitch_sets(events: tuple[Event, ...]) -> tuple[list[tuple[int, ...]], list[list[int]]]:
    """Distinct pitch sets and, per event, which of them may explain it."""
    sets: dict[tuple[int, ...], int] = {}
    columns = []
    for event in events:
        options = [event.pitches, event.struck]
        if len(event.struck) > 1:
            options += [(event.struck[-1],), (event.struck[0],)]
        if event.trill:
            options += [(event.struck[-1] + 1,), (event.struck[-1] + 2,)]
        columns.append([sets.setdefault(option, len(sets)) for option in dict.fromkeys(options)])
    return list(sets), columns


def _shifts(features: Features, events: tuple[Event, ...], tuning_cents: float) -> list[int]:
    """Semitone shifts worth aligning: 0 and, when the pitches heard say so, one other."""
    printed = np.zeros(128)
    for event in events:
        for midi in event.pitches:
            printed[midi] += event.length_q
    low, high = max(int(np.flatnonzero(printed)[0]) - 14, 12), min(int(np.flatnonzero(printed)[-1]) + 14, 112)
    fits = observation.singles(features, low, high, tuning_cents=tuning_cents)
    quiet = observation.silence(features, fits.max(axis=0)) > 0.5
    heard = np.bincount(fits.argmax(axis=0)[~quiet] + low, minlength=128).astype(float)
    if not heard.sum():
        return [0]
    match = {s: _cosine(np.roll(printed, s), heard) for s in range(-12, 13)}
    best = max(match, key=lambda s: match[s])
    return [0, best] if match[best] > match[0] + FIT_BEFORE_TRYING_TRANSPOSITION else [0]


def _cosine(first: np.ndarray, second: np.ndarray) -> float:
    return float(first @ second / max(np.linalg.norm(first) * np.linalg.norm(second), 1e-9))


def _local_tempo(path, events, frame_s: float, fallback: float) -> np.ndarray:
    """Seconds per quarter expected at each event: a running median over the path, near the whole's."""
    rates: list[tuple[int, float, float]] = []
    for before, after in itertools.pairwise(path):
        if after[0] == before[0] + 1:
            length = events[before[0]].length_q
            rates.append((before[0], (after[1] - before[1]) * frame_s / length, length))
    if len(rates) < 4:
        return np.full(len(events), fallback)
    where = np.array([r[0] for r in rates])
    value = np.log(np.array([r[1] for r in rates]))
    weight = np.array([r[2] for r in rates])
    middle = _median(value, weight)
    local = np.full(len(events), middle)
    reach = 12
    for k in range(len(events)):
        near = np.abs(where - k) <= reach
        if near.sum() >= 5:
            local[k] = _median(value[near], weight[near])
    return np.exp(np.clip(local, middle - 0.45, middle + 0.45))


def _median(values: np.ndarray, weights: np.ndarray) -> float:
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, total[-1] / 2)])


class _Model:
    """The arrays viterbi.run wants, made once for all passes."""

    def __init__(self, features, form: Form, events, columns, observed, asked: range) -> None:
        self.events, self.observed, self.frame_s = events, observed, features.frame_s
        distinct: dict[tuple[int, ...], int] = {}
        self.column = np.array(
            [distinct.setdefault(tuple(options), len(distinct)) for options in columns], dtype=np.int32
        )
        quiet = SILENT_NOTE_COST * observed.silent
        self.fit = np.stack([observed.fit[list(options)].max(axis=0) - quiet for options in distinct]).astype(
            np.float32
        )
        self.pause_fit = (-TALK_FRAME_COST * (1 - observed.silent)).astype(np.float32)
        self.after_fit = (-AFTER_FRAME_COST * (1 - observed.silent)).astype(np.float32)
        self.final = asked.stop - 1
        wrong = -WRONG_FRAME_COST - quiet
        self.wrong = np.concatenate([[0.0], np.cumsum(wrong)])
        gain = np.clip(ATTACK_GAIN * (features.novelty - ATTACK_THRESHOLD), -1.5, ATTACK_MOST)
        self.attack = np.append(gain, -1.5).astype(np.float32)
        self._edges(form, asked)

    def _edges(self, form: Form, asked: range) -> None:
        events = self.events
        self.pause_cost = np.array(
            [0.0 if e.sounding_q < e.length_q - 1e-3 or e.fermata else PAUSE_FRAME_COST for e in events],
            dtype=np.float32,
        )
        self.bar_first = np.array([e.first_in_bar for e in events], dtype=np.uint8)
        self.start_cost = np.where(self.bar_first == 1, LATE_START_COST, 1e9).astype(np.float32)
        self.start_cost[0] = WIDE_START_COST
        self.start_cost[asked.start] = 0.0
        self.end_cost = np.full(len(events), EARLY_END_COST, dtype=np.float32)
        self.end_cost[-1] = 0.0
        self.end_cost[asked.stop - 1] = 0.0
        first = {e.position: e.index for e in events if e.first_in_bar}
        last = {e.position: e.index for e in events}
        into: list[list[int]] = [[] for _ in events]
        for source, target in printed_jumps(form):
            if source in last and target in first:
                into[first[target]].append(last[source])
        starts = np.cumsum([0] + [len(sources) for sources in into])
        self.edge_start = starts.astype(np.int32)
        self.edge_source = np.array([s for sources in into for s in sources], dtype=np.int32)

    def run(self, seconds_per_quarter: np.ndarray, sigma: float, *, jumps_until=None, after_fit=None):
        """(path, score against hearing nothing) at the given tempo per event."""
        sounding = np.array([e.length_q for e in self.events])
        expected = np.maximum(sounding * seconds_per_quarter / self.frame_s, 0.8)
        slack = 2.0 if sigma < 0.4 else 3.0
        shortest = np.maximum(1, np.floor(expected / slack)).astype(np.int32)
        longest = np.maximum(shortest + 1, np.ceil(expected * slack)).astype(np.int32)
        longest = np.minimum(longest, 2000)
        tables = viterbi.run(
            self.fit, self.pause_fit, self.wrong, self.attack, self.column, expected, shortest, longest,
            sigma, self.pause_cost, self.bar_first, self.start_cost, self.end_cost,
            self.after_fit if after_fit is None else after_fit,
            self.final, self.fit.shape[1] if jumps_until is None else jumps_until, self.edge_start,
            self.edge_source, SKIP_COST, JUMP_COST, EDGE_COST, WRONG_COST, WRONG_MOST, BEAM, BAND,
        )  # fmt: skip
        score, nothing, last, end, first, segment, origin, edge, jump = tables
        if last < 0 or score <= nothing:
            return [], 0.0
        path = viterbi.trace(last, end, first, segment, origin, edge, jump, self.edge_start, self.edge_source)
        return path, score - nothing

    def segments(self, path) -> tuple[Segment, ...]:
        found = []
        for event, start, end, wrong, code in path:
            rows = self.fit[self.column[event], start:end]
            found.append(
                Segment(
                    event,
                    start * self.frame_s,
                    end * self.frame_s,
                    wrong,
                    code in (viterbi.FROM_JUMP, viterbi.FROM_EDGE, viterbi.FROM_START),
                    float(rows.mean()) if rows.size else -observation.FIT_CAP,
                    float(self.observed.silent[start:end].mean()) if end > start else 1.0,
                )
            )
        return tuple(found)


def printed_jumps(form: Form) -> set[tuple[int, int]]:
    """Pairs of form positions a player may link by the printed signs though the form does not.

    A repeat left out, taken again, or a wrong ending: any bar pair that is a neighbour pair somewhere in
    the printed order or in plain reading order, at every pass of both bars.
    """
    score = form.score
    pairs = set(zip(score.order, score.order[1:], strict=False))
    pairs |= {(m.index, m.index + 1) for m in score.measures[:-1]}
    positions: dict[int, list[int]] = {}
    for bar in form.bars:
        positions.setdefault(bar.measure_index, []).append(bar.position)
    following = {bar.position: nxt.measure_index for bar, nxt in zip(form.bars, form.bars[1:], strict=False)}
    return {
        (i, j)
        for a, b in pairs
        for i in positions.get(a, ())
        if following.get(i) != b
        for j in positions.get(b, ())
    }
