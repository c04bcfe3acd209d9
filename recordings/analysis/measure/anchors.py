"""Onsets of the printed events on the time line of what was played: what tempo and rhythm are read from."""

from dataclasses import dataclass

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import PLAYED, WRONG, NoteResult
from repertoire.notation.score import Form


@dataclass(frozen=True, slots=True)
class Anchor:
    """One event's onset on the time line of what was heard; `q` runs on through the bars as they came."""

    q: float
    time_s: float
    event: int
    visit: int  # index of the heard bar
    confidence: float
    blur_s: float = 0.0  # how far the attack spreads around the onset


def anchors(
    form: Form, events: tuple[Event, ...], matched: MatchedForm, notes: tuple[NoteResult, ...]
) -> list[Anchor]:
    """Onsets of events that follow each other without a jump share one running line of quarters."""
    by_event: dict[tuple[float, int, int], NoteResult] = {}
    for note in notes:
        if note.onset_s is not None and note.status in (PLAYED, WRONG):
            by_event.setdefault((round(note.start_q, 3), note.position, note.pass_number), note)
    start_of = {(e.position, round(e.start_q, 3)): e for e in events}
    found: list[Anchor] = []
    line = 0.0
    for visit, bar in enumerate(matched.bars):
        base = form.bars[bar.position].start_q
        if not bar.attempt_left:
            for (start_q, position, number), note in by_event.items():
                if position == bar.position and number == bar.pass_number:
                    event = start_of[(position, start_q)]
                    found.append(
                        Anchor(
                            line + start_q - base,
                            note.began_s,
                            event.index,
                            visit,
                            note.evidence,
                            note.onset_blur_s,
                        )
                    )
        line += form.score.measures[bar.measure_index].length_q
    return sorted(found, key=lambda a: (a.visit, a.q))
