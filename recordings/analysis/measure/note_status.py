"""Whether a printed note was played: as printed, at another pitch, not at all, or not surely any of these.

Decided from the log-likelihoods of the alignment (`follow.observation`) in the frames of the note's own
segment: the printed pitch against every other within an octave. All limits were chosen on the accuracy set,
November 2026. Nothing is raised; a segment without frames counts as silent.
"""

import numpy as np

from recordings.analysis.follow import observation
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.note_result import MISSING, PLAYED, UNCERTAIN, WRONG
from recordings.analysis.follow.observation import FIT_CAP
from recordings.analysis.follow.segments import Alignment, Segment
from recordings.analysis.sound.features import Features

SILENT_SHARE = 0.75  # of a note's time in silence: it was not played
UNCLEAR_FIT = -3.2  # mean log-fit; worse fits are not taken for the printed note
WRONG_LEAD = 0.7  # mean log-fit by which another pitch must lead to be called wrong
# the same where both may sound over what still rings of the notes before, and where the first is clear;
# of 185 right notes of ringing instruments 4 had a clear lead and led by 0.2 so (November 2026)
CLEAR_LEAD, BESIDE_LEAD = 1.5, 0.2
WRONG_LEAST_FRAMES = 4
# a shorter note, down to 3 frames (about a tenth of a second), is called wrong only where all is clear
QUICK_FRAMES, QUICK_LEAD, QUICK_BESIDE, QUICK_FIT = 3, 2.5, 1.0, -1.0
# a repeated note that was not played: no stronger rise, no dip, and silence as long as the note
HELD_NOVELTY, HELD_DIP_DB, HELD_FALL_DB, HELD_SILENCE = 0.7, 2.5, 9.0, 0.6
RINGING_S = 0.25
RINGING_EVENTS = 3  # how many of the notes before may still sound under a note
STRUCK_S = 0.15  # a struck note is heard at least this long; chosen on sampled marimba, November 2026
BEGINS_FIT = -1.0  # mean log-fit over a note's first `STRUCK_S`: the printed pitch and no other
STRUCK_NOVELTY = 0.5  # of the take's usual strong attack: something begins here, nothing only rings on
RINGING_NOVELTY = 0.3  # of the take's usual strong attack
WRONG_DOUBT = 0.5  # taken off the fit of a wrong note whose lead is small


def status_of(
    features: Features,
    alignment: Alignment,
    events: tuple[Event, ...],
    segment: Segment,
    *,
    fades: bool,
    tuning_cents: float,
) -> tuple[str, int | None, float]:
    """(status, pitch heard for a wrong one, mean log-fit of what was taken to be heard).

    `fades`: struck or plucked, a long note may be silent before its time is over. `tuning_cents`: how far the
    take's semitones lie above A = 440.
    """
    event = events[segment.event]
    if segment.silent_share > SILENT_SHARE:
        begins = _begins_sounding(features, alignment, segment)
        if not begins or not (fades or _begins_as_printed(features, alignment, event, segment)):
            return MISSING, None, segment.fit
    first = int(segment.start_s / features.frame_s)
    last = max(first + 1, round(segment.end_s / features.frame_s))
    if last - first > 3:
        first += 1  # the attack's frame still holds the note before
    observed = alignment.observations
    means = observed.single[:, first:last].mean(axis=1)
    base = observed.lowest - alignment.shift
    expected = max(float(means[m - base]) for m in event.pitches)
    others = _rivals(
        events,
        event,
        segment,
        range(base, base + len(means)),
        struck=_attack(features, segment) >= STRUCK_NOVELTY,
    )
    sounded = max(others, key=lambda m: means[m - base], default=None)
    lead = float(means[sounded - base]) - expected if sounded is not None else 0.0
    if sounded is None or lead < WRONG_LEAD / 2 or len(event.pitches) > 1:
        return (PLAYED if segment.fit > UNCLEAR_FIT else UNCERTAIN), None, segment.fit
    beside, absent = _over_what_rings(
        features, alignment, events, event, sounded, (first, last), tuning_cents
    )
    if max(beside, absent) < WRONG_LEAD / 2:
        return (PLAYED if segment.fit > UNCLEAR_FIT else UNCERTAIN), None, segment.fit
    fit = float(means[sounded - base])
    again = bool(event.index) and sounded in events[event.index - 1].pitches
    if _surely_wrong(lead, beside, fit, last - first, again=again):
        return WRONG, sounded, fit - WRONG_DOUBT / lead
    return UNCERTAIN, None, segment.fit


def _surely_wrong(lead: float, beside: float, fit: float, frames: int, *, again: bool) -> bool:
    """`again`: it would be the note before once more, which may also ring on."""
    if frames < WRONG_LEAST_FRAMES:
        return frames >= QUICK_FRAMES and lead >= QUICK_LEAD and beside >= QUICK_BESIDE and fit > QUICK_FIT
    needed = BESIDE_LEAD if lead >= CLEAR_LEAD and not again else WRONG_LEAD
    return lead >= WRONG_LEAD and beside >= needed and fit > -FIT_CAP / 4


def _over_what_rings(
    features: Features,
    alignment: Alignment,
    events: tuple[Event, ...],
    event: Event,
    sounded: int,
    frames: tuple[int, int],
    tuning_cents: float,
) -> tuple[float, float]:
    """By how much another pitch leads over the printed one, and by how much the notes before alone do.

    In nats, where both pitches may sound over the notes before.
    """
    before = [e.struck for e in events[max(event.index - RINGING_EVENTS, 0) : event.index]]
    rung = [{m for struck in before[-back:] for m in struck} for back in range(1, len(before) + 1)]
    spectra = features.spectra[slice(*frames)]

    def fit(together: list[set[int]]) -> float:
        sets = {tuple(sorted(m + alignment.shift for m in midis)) for midis in together}
        return observation.FIT_WEIGHT * observation.best_of(
            spectra, features.bin_hz, sets, tuning_cents=tuning_cents
        )

    expected = max(fit([{m}, *({m} | midis for midis in rung)]) for m in event.struck)
    other = fit([{sounded}, *({sounded} | midis for midis in rung)])
    return other - expected, fit(rung) - expected if rung else 0.0


def _begins_sounding(features: Features, alignment: Alignment, segment: Segment) -> bool:
    first = int(segment.start_s / features.frame_s)
    last = first + max(1, round(STRUCK_S / features.frame_s))
    return bool(alignment.observations.silent[first:last].mean() < 0.5)


def _begins_as_printed(features: Features, alignment: Alignment, event: Event, segment: Segment) -> bool:
    """Whether the printed pitch sounds where the note begins, however soon it is over."""
    first = int(segment.start_s / features.frame_s)
    last = first + max(1, round(STRUCK_S / features.frame_s))
    base = alignment.observations.lowest - alignment.shift
    fits = [alignment.observations.single[m - base, first:last].mean() for m in event.struck]
    return bool(max(fits) > BEGINS_FIT)


def only_held(features: Features, events: tuple[Event, ...], segments: tuple[Segment, ...], i: int) -> bool:
    """Whether a repeated pitch is only the note before, cut in two: no new attack, and then silence.

    Not where a rest is printed after it: there the silence says nothing.
    """
    if not 0 < i < len(segments) - 1:
        return False
    before, segment, following = segments[i - 1 : i + 2]
    event = events[segment.event]
    if events[before.event].pitches != event.pitches or event.sounding_q < event.length_q - 1e-3:
        return False
    step = features.fine_frame_s
    # the next attack's own rise is no part of the silence before it
    times = (before.start_s, segment.start_s, following.start_s - 0.06)
    start, cut, end = (int(t / step) for t in times)
    level = features.fine_level_db[start:end]
    if cut - start < 8 or end - cut < 8:
        return False
    loud = np.flatnonzero(level > np.percentile(level, 80) - HELD_FALL_DB)
    silence = end - start - int(loud[-1])
    around = level[cut - start - 8 : cut - start + 9]
    dips = around.min() < min(around[0], around[-1]) - HELD_DIP_DB
    attacked = features.fine_novelty[cut - 8 : cut + 9].max() > HELD_NOVELTY
    return silence > HELD_SILENCE * int(loud[-1]) and not dips and not attacked


def rings_on(
    features: Features, events: tuple[Event, ...], before: Segment, segment: Segment, heard_midi: int | None
) -> bool:
    """Whether what sounds in a note's place is the one before, ringing on without an attack of its own.

    As its last breath a note is often heard an octave lower: in a short place that is no note at all.
    """
    held = events[before.event].pitches
    sounding_s = (segment.end_s - segment.start_s) * (1 - segment.silent_share)
    if heard_midi is not None and sounding_s < RINGING_S and heard_midi + 12 in held:
        return True
    return heard_midi in held and _attack(features, segment) < RINGING_NOVELTY


def begins_the_next(
    features: Features, events: tuple[Event, ...], following: Segment, heard_midi: int | None
) -> bool:
    """Whether what sounds in a note's place is the next one already, which has no attack where it was put."""
    return heard_midi in events[following.event].struck and _attack(features, following) < RINGING_NOVELTY


def _attack(features: Features, segment: Segment) -> float:
    """The strongest rise where the segment begins; 1 is the take's usual strong attack."""
    near = int(segment.start_s / features.fine_frame_s)
    return float(features.fine_novelty[max(near - 10, 0) : near + 11].max(initial=0.0))


def _rivals(
    events: tuple[Event, ...], event: Event, segment: Segment, sounded: range, *, struck: bool
) -> list[int]:
    """Pitches that may have been played instead.

    Within an octave: what seems lower still is a room or a string ringing under the note. A short
    note's forerunner is none either where nothing is struck anew, it may only ring on; nor are a trill's
    upper notes.
    """
    barred = set(event.pitches)
    if event.trill:
        barred |= {m + d for m in event.struck for d in (1, 2)}
    if segment.end_s - segment.start_s < RINGING_S and event.index and not struck:
        barred |= set(events[event.index - 1].pitches)
    near = {m + d for m in event.struck for d in range(-11, 12)}
    return sorted(m for m in near - barred if m in sounded)
