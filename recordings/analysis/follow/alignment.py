"""Where each printed note was played, and in which order the bars came.

A note-level hidden semi-Markov model (`viterbi`, which names the papers) over the bars in their printed form,
with cheap edges for repeats taken or left out, dearer jumps to the start of any bar for restarts, pauses of
any length, skipped notes, wrong pitches, and a free start and end. First at a few tempos around the
marked one, then once more with the tempo found. Results are in seconds. Nothing is raised.
"""

from dataclasses import replace
from itertools import groupby

import numpy as np

from recordings.analysis.corrections import NONE, Corrections
from recordings.analysis.follow import corrected, ends, hidden_model, observation, score_context, viterbi
from recordings.analysis.follow.cut_short import with_notes_cut_short
from recordings.analysis.follow.events import Event, build
from recordings.analysis.follow.lattice import FROM_EDGE, FROM_JUMP, FROM_START, Costs, Model, Step, trace
from recordings.analysis.follow.local_tempo import local_tempo
from recordings.analysis.follow.segments import Alignment, Around, Segment
from recordings.analysis.follow.transposition import shifts
from recordings.analysis.sound.features import Features
from repertoire.notation.score import Form

TEMPO_RATIOS = (1.0, 0.5, 0.71, 1.41)  # of the marked tempo; log-normal durations bridge the gaps
FIRST_SIGMA, SECOND_SIGMA = 0.55, 0.28  # width of the durations' log-normal
SECOND_PASSES = 2  # each with the tempo found by the one before
BAND = 1600  # events; most excerpts have fewer, and no jump further than half of it is looked for
AFTER_THE_END = 0.4  # of the usual price, for what sounds after a piece that was played to its end
FEW_NOTES_GAIN = 60.0  # nats: an opening alone before a long pause that gains no more was not the piece yet
CLEARLY_BETTER = 0.1  # nats a frame, before another pitch than the printed one is believed


def align(
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    *,
    seconds_per_quarter: float,
    tuning_cents: float,
    corrections: Corrections = NONE,
) -> Alignment:
    """The best path; an empty take or a form without notes gives no segments.

    `seconds_per_quarter` is the tempo to begin with; `tuning_cents` how far the take's semitones lie above
    A = 440. Bars of the score around the form are listened for as well and then left away: an excerpt may be
    played with more than was asked. Not where `corrections` say which bars came: then `form` is what came.
    """
    wide, wide_events, asked = with_bars_around(form, events)
    if corrections.order:
        wide, wide_events, asked = form, events, range(len(events))
    candidates = [0]
    if len(features.spectra) and events:
        candidates = shifts(features, events, tuning_cents)
    best, *others = (
        align_at(features, wide, wide_events, asked, seconds_per_quarter, tuning_cents, shift, corrections)
        for shift in candidates
    )
    for other in others:
        # another place must be clearly better than the printed one
        if other.score > best.score + CLEARLY_BETTER:
            best = other
    kept = [replace(s, event=s.event - asked.start) for s in best.segments if s.event in asked]
    begun = ends.drop_warm_up(form, events, kept)
    around = _around(wide, wide_events, asked, best.segments)
    followed = ends.drop_stray_notes(events, begun)
    whole = with_notes_cut_short(events, followed, best.observations, best.shift, features.frame_s)
    return replace(best, segments=whole, around=around)


def _around(
    wide: Form, events: tuple[Event, ...], asked: range, segments: tuple[Segment, ...]
) -> tuple[Around, ...]:
    """The bars heard beside those asked for; a bar counts where most of its printed events were heard."""
    found: list[Around] = []
    outside = (s for s in segments if s.event not in asked and not s.wrong_pitch)
    for position, group in groupby(outside, key=lambda segment: events[segment.event].position):
        heard = list(group)
        printed = sum(event.position == position for event in events)
        if len(heard) > printed / 2:
            found.append(Around(wide.bars[position].measure_index, heard[0].start_s, heard[-1].end_s))
    return tuple(found)


def with_bars_around(form: Form, events: tuple[Event, ...]) -> tuple[Form, tuple[Event, ...], range]:
    """The form with the bars of the score around it, its events, and those of them that were asked for."""
    wide, bars_before = score_context.widen(form)
    wide_events = build(wide) if wide is not form else events
    first = sum(event.position < bars_before for event in wide_events)
    return wide, wide_events, range(first, first + len(events))


def align_at(
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    asked: range,
    seconds_per_quarter: float,
    tuning_cents: float,
    shift: int,
    corrections: Corrections = NONE,
) -> Alignment:
    """The best path where the take sounds `shift` semitones above print; `asked`: the events asked for."""
    if not events or not len(features.spectra):
        empty = np.zeros((0, 0), dtype=np.float32)
        nothing = observation.Observations(empty, empty, 0, np.zeros(0), np.zeros(0))
        return Alignment((), seconds_per_quarter, shift, 0.0, nothing)
    sets, columns, plain = hidden_model.pitch_sets(events, len(features.spectra))
    observed = observation.observe(features, sets, plain=plain, tuning_cents=tuning_cents, shift=shift)
    model = hidden_model.build(features, form, events, columns, observed, asked)
    model = corrected.held_to(model, form, events, corrections, frame_s=features.frame_s)
    path, score, pace = _passes(model, events, seconds_per_quarter, features.frame_s)
    segments = ends.drop_loose_ends(_segments(path, model, observed.silent, features.frame_s))
    return Alignment(segments, float(np.median(pace)), shift, score / max(1, len(features.spectra)), observed)


def _passes(
    model: Model, events: tuple[Event, ...], seconds_per_quarter: float, frame_s: float
) -> tuple[list[Step], float, np.ndarray]:
    """(path, score against hearing nothing, seconds a quarter at each event) of the last pass."""
    rates = [seconds_per_quarter / ratio for ratio in TEMPO_RATIOS]
    runs = [_run(model, events, np.full(len(events), rate), FIRST_SIGMA, frame_s) for rate in rates]
    best = max(range(len(runs)), key=lambda i: runs[i][1])
    path, score = runs[best]
    for number in range(SECOND_PASSES):
        pace = local_tempo(path, events, frame_s, rates[best])
        again, again_score = _run(model, events, pace, SECOND_SIGMA, frame_s)
        if again_score < score - 1e-6 and number > 0:
            break
        path, score = again, again_score
    return _settle_ends(model, events, path, score, pace, frame_s)


def _settle_ends(
    model: Model, events: tuple[Event, ...], path: list[Step], score: float, pace: np.ndarray, frame_s: float
) -> tuple[list[Step], float, np.ndarray]:
    """As `_passes`: where the piece begins and ends, then the notes stepped over.

    The score stays that of the usual prices, so that one path can be held against another.
    """
    final, here = int(model.final), score
    if (ended := ends.jumps_on_from_the_end(path, final)) is not None:
        ending = model._replace(after_fit=model.after_fit * AFTER_THE_END)
        shorter, shorter_score = _run(ending, events, pace, SECOND_SIGMA, frame_s)
        if shorter and shorter[-1].end > ended:
            model, path, here = ending, shorter, shorter_score
    settled = model
    if ends.only_jumped_to_the_end(path, events, final):
        settled = model._replace(after_fit=model.pause_fit)
        path, score = _run(settled, events, pace, SECOND_SIGMA, frame_s)
        here = score
    if (until := ends.other_music_after(path, events, final)) is not None:
        settled = model
        path, here = _run(settled, events, pace, SECOND_SIGMA, frame_s, jumps_until=until)
    if (begun := ends.detached_opening(path, frame_s)) is not None:
        unheard = _unheard_until(settled, begun)
        later, later_score = _run(unheard, events, pace, SECOND_SIGMA, frame_s, jumps_until=until)
        if later_score > here - FEW_NOTES_GAIN:
            settled, path = unheard, later
    if (spoken := ends.talk_before(path, events, _fits(path, model), frame_s)) is not None:
        unheard = _unheard_until(settled, spoken)
        later, _dearer = _run(unheard, events, pace, SECOND_SIGMA, frame_s, jumps_until=until)
        if later and model.start_cost[later[0].event] == 0.0:
            settled, path = unheard, later
    if ends.notes_skipped(path):
        mistakes, _dearer = _run(
            settled, events, pace, SECOND_SIGMA, frame_s, jumps_until=until, costs=hidden_model.ONE_MISTAKE
        )
        if ends.notes_right(mistakes) >= ends.notes_right(path):
            path = mistakes
    return path, score, pace


def _fits(path: list[Step], model: Model) -> np.ndarray:
    """(steps,) mean log-fit of the pitches each step stands for."""
    fits = (model.fit[model.column[step.event], step.start : step.end] for step in path)
    return np.array([fit.mean() if fit.size else -observation.FIT_CAP for fit in fits])


def _unheard_until(model: Model, boundary: int) -> Model:
    """The same take with no note of the piece before this boundary."""
    fit = model.fit.copy()
    fit[:, :boundary] = -observation.FIT_CAP
    return model._replace(fit=fit)


def _run(
    model: Model,
    events: tuple[Event, ...],
    pace: np.ndarray,
    sigma: float,
    frame_s: float,
    *,
    jumps_until: int | None = None,
    costs: Costs = hidden_model.COSTS,
) -> tuple[list[Step], float]:
    """(path, score against hearing nothing); (events,) `pace` in seconds a quarter."""
    durations = hidden_model.durations(events, pace, sigma, frame_s)
    until = model.fit.shape[1] if jumps_until is None else jumps_until
    result = viterbi.run(model, durations, costs, BAND, until)
    if result.last < 0 or result.score <= result.nothing:
        return [], 0.0
    return trace(result, model), result.score - result.nothing


def _segments(path: list[Step], model: Model, silent: np.ndarray, frame_s: float) -> tuple[Segment, ...]:
    found = []
    for step, fit in zip(path, _fits(path, model), strict=True):
        found.append(
            Segment(
                step.event,
                step.start * frame_s,
                step.end * frame_s,
                step.wrong,
                step.entry in (FROM_JUMP, FROM_EDGE, FROM_START),
                float(fit),
                float(silent[step.start : step.end].mean()) if step.end > step.start else 1.0,
            )
        )
    return tuple(found)
