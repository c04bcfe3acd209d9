"""Where in the take the piece begins and ends: what was played before, after or beside it is left away.

Works on the path of the alignment (`lattice.Step`s, boundaries in frames) and on its segments (seconds).
All limits were chosen on made takes, November 2026.
"""

import itertools

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.lattice import FROM_JUMP, Step
from recordings.analysis.follow.segments import Segment
from repertoire.notation.score import Form

AGAIN_NOTES, AGAIN_SHARE, AGAIN_UNEVEN = 6, 0.9, 0.3  # what is believed to be a new start after the end
LOOSE_FIT = -2.5  # mean log-fit under which a note at either end is not believed
WARM_UP_NOTES, WARM_UP_PAUSE_S = 16, 1.0
# talk may resemble more: the 14 likenesses in one announcement had a median fit of -0.6, what was played
# after it 0.0
TALK_NOTES, TALK_FIT = 48, -0.3
STRAY_NOTES, STRAY_PAUSE_S = 3, 0.8  # at the end, behind a pause that is not printed


def drop_warm_up(form: Form, events: tuple[Event, ...], segments: list[Segment]) -> tuple[Segment, ...]:
    """Drop a few notes from elsewhere before the first bar begins: a scale, tuning, a bar tried out."""
    opening = form.bars[0].measure_index if form.bars else -1

    def opens(segment: Segment) -> bool:
        event = events[segment.event]
        return event.first_in_bar and form.bars[event.position].measure_index == opening

    if not segments or (opens(segments[0]) and not _jumps_at_once(segments)):
        return tuple(segments)
    for before, (i, segment) in zip(segments, enumerate(segments[1 : WARM_UP_NOTES + 1], 1), strict=False):
        if opens(segment) and (segment.jumped or segment.start_s - before.end_s > WARM_UP_PAUSE_S):
            return tuple(segments[i:])
    return tuple(segments)


def _jumps_at_once(segments: list[Segment]) -> bool:
    """Whether the path leaves the opening for elsewhere before it has got anywhere, as in a scale."""
    return any(segment.jumped for segment in segments[1 : STRAY_NOTES + 1])


def drop_stray_notes(events: tuple[Event, ...], segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """Drop a few notes that come after a pause where none is printed and do not reach the piece's end."""
    if not segments or segments[-1].event == len(events) - 1:
        return segments
    for count in range(1, min(STRAY_NOTES, len(segments) - 1) + 1):
        before, after = segments[-count - 1], segments[-count]
        printed = events[before.event]
        rests = printed.sounding_q < printed.length_q - 1e-3 or printed.fermata
        if after.start_s - before.end_s > STRAY_PAUSE_S and not rests:
            return segments[:-count]
    return segments


def notes_right(path: list[Step]) -> int:
    """How many steps of a path play what is printed."""
    return sum(not step.wrong for step in path)


def notes_skipped(path: list[Step]) -> bool:
    """Whether the path steps over a note."""
    return any(after.event - before.event in (2, 3) for before, after in itertools.pairwise(path))


def detached_opening(path: list[Step], frame_s: float) -> int | None:
    """The boundary at which an opening of a few notes ends that stands alone before a long pause.

    What sounds before a take is often the piece's own first pitch: tuning, an open string, a word.
    """
    found = None
    for before, after in itertools.pairwise(path[: WARM_UP_NOTES + 1]):
        if (after.start - before.end) * frame_s > WARM_UP_PAUSE_S:
            found = before.end
    return found


def talk_before(path: list[Step], events: tuple[Event, ...], fits: np.ndarray, frame_s: float) -> int | None:
    """The boundary before which the path only resembles the piece: loosely, out of its rhythm, then a pause.

    `fits`: (steps,) mean log-fit of each step.
    """
    for last in range(min(TALK_NOTES, len(path) - 1), 0, -1):
        before, after = path[last - 1 : last + 1]
        loose = np.median(fits[:last]) < TALK_FIT and not _is_played_again(path[:last], events)
        if loose and (after.start - before.end) * frame_s > WARM_UP_PAUSE_S:
            return before.end
    return None


def jumps_on_from_the_end(path: list[Step], final: int) -> int | None:
    """The boundary at which the last note begins, where the path comes to the piece's end and jumps on."""
    return next(
        (
            before.start
            for before, step in itertools.pairwise(path)
            if step.entry == FROM_JUMP and final - 2 <= before.event <= final
        ),
        None,
    )


def other_music_after(path: list[Step], events: tuple[Event, ...], final: int) -> int | None:
    """The boundary at which the path leaves a piece played to its end for what is not the piece again.

    Whatever is played then, some bar resembles it a little; a real new start has its notes in their rhythm.
    """
    cut = None
    breaks = [i for i, step in enumerate(path) if i and step.entry == FROM_JUMP]
    for first, last in itertools.pairwise([*breaks, len(path)][::-1]):
        if _is_played_again(path[last:first], events):
            break
        if final - 2 <= path[last - 1].event <= final:
            cut = path[last].start
    return cut


def only_jumped_to_the_end(path: list[Step], events: tuple[Event, ...], final: int) -> bool:
    """Whether the piece's end is only a few notes jumped to, so that what follows would cost little."""
    breaks = [i for i, step in enumerate(path) if i and step.entry == FROM_JUMP]
    return bool(breaks) and path[-1].event == final and not _is_played_again(path[breaks[-1] :], events)


def _is_played_again(path: list[Step], events: tuple[Event, ...]) -> bool:
    right = sum(not step.wrong for step in path)
    steps = list(itertools.pairwise(path))
    skipped = sum(max(after.event - before.event - 1, 0) for before, after in steps)
    if right < AGAIN_NOTES or right < AGAIN_SHARE * (len(path) + skipped):
        return False
    pace = np.array([
        np.log((after.start - before.start) / events[before.event].length_q)
        for before, after in steps if after.event == before.event + 1
    ])  # fmt: skip
    return float(np.median(np.abs(pace - np.median(pace)))) < AGAIN_UNEVEN if pace.size else False


def drop_loose_ends(segments: tuple[Segment, ...]) -> tuple[Segment, ...]:
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
