"""Findings about single notes: other notes than printed, notes not heard.

Seconds; `notes` in played order. Nothing is raised.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import MISSING, WRONG, NoteResult
from recordings.analysis.tell.finding import Evidence, Finding, heard_places
from recordings.analysis.tell.places import bars_text, note_name, place
from recordings.analysis.tell.sounded import sounded_name
from repertoire.notation.score import Form
from repertoire.notation.sentence import Sentence

MeasureOf = Callable[[NoteResult], int]  # a note to the index of its printed bar
WRONG_LEAST_EVIDENCE = 0.35
MISSING_WEIGHT, WRONG_WEIGHT = 14.0, 16.0


def wrong_and_missing(form: Form, matched: MatchedForm, notes: tuple[NoteResult, ...]) -> list[Finding]:
    """Grouped by stretches of neighbouring bars."""
    gone = set(matched.left_out_measures)
    measure = measure_of(form)
    wrong = [n for n in notes if n.status == WRONG]
    heard = _before_the_end(matched, notes)
    missing = [n for n in heard if n.status == MISSING and measure(n) not in gone]
    found = []
    for group in _neighbours(wrong, measure, reach=1):
        if np.mean([n.evidence for n in group]) >= WRONG_LEAST_EVIDENCE:
            found.append(_wrong(form, group, measure))
    for group in _neighbours(missing, measure, reach=1):
        found.append(_missing(form, matched, group, measure))
    return found


def _before_the_end(matched: MatchedForm, notes: tuple[NoteResult, ...]) -> tuple[NoteResult, ...]:
    """Without the notes behind the last one heard of a bar where the take breaks off: the end is told."""
    last = matched.bars[-1].position
    if not any(position > last for position in matched.missed_positions):
        return notes
    heard_q = max((n.start_q for n in notes if n.position == last and n.status != MISSING), default=0.0)
    return tuple(n for n in notes if n.position != last or n.start_q <= heard_q)


def measure_of(form: Form) -> MeasureOf:
    """The function from a note to the index of its printed bar."""
    return lambda note: form.bars[note.position].measure_index


def _neighbours(notes: list[NoteResult], measure: MeasureOf, *, reach: int) -> list[list[NoteResult]]:
    groups: list[list[NoteResult]] = []
    for note in notes:
        last = groups[-1][-1] if groups else note
        if groups and abs(measure(note) - measure(last)) <= reach and note.pass_number == last.pass_number:
            groups[-1].append(note)
        else:
            groups.append([note])
    return groups


def made(
    kind: str,
    form: Form,
    group: Sequence[NoteResult],
    measure: MeasureOf,
    text: Sentence,
    weight: float,
    *,
    certainty: str = "sure",
    evidence: Evidence | None = None,
) -> Finding:
    """A finding about these notes, in played order; `measure` gives the index of a note's printed bar."""
    measures = sorted({measure(n) for n in group})
    times = [n.onset_s for n in group if n.onset_s is not None]
    ends = [n.offset_s for n in group if n.offset_s is not None]
    return Finding(
        kind,
        bars_text(form.score, measures),
        tuple(form.score.measures[m].number for m in measures),
        group[0].position,
        max(min(times) - 0.5, 0.0) if times else None,
        max(ends) + 0.3 if ends else None,
        text,
        weight,
        certainty,
        len(group),
        evidence or {},
        tuple(n.note_id for n in group),
        places=heard_places(group),
    )


def _wrong(form: Form, group: list[NoteResult], measure: MeasureOf) -> Finding:
    where = place(form.score, sorted({measure(n) for n in group}))
    evidence = float(np.mean([n.evidence for n in group]))
    sure = "sure" if evidence >= 0.5 else "unsure"
    note = form.notes[group[0].form_index].note
    if len(group) > 2:
        text = sentences.FIND_WRONG_SEVERAL(place=where, count=len(group))
    elif sure == "sure":
        sounded = sounded_name(form.score, group[0].sounded_midi, measure(group[0]))
        text = sentences.FIND_WRONG(place=where, printed=note_name(note), heard=sounded)
    else:
        text = sentences.FIND_WRONG_UNSURE(place=where, printed=note_name(note))
    weight = WRONG_WEIGHT * (1 + len(group)) * max(evidence, 0.3)
    return made("wrong_note", form, group, measure, text, weight, certainty=sure)


def _missing(form: Form, matched: MatchedForm, group: list[NoteResult], measure: MeasureOf) -> Finding:
    where = place(form.score, sorted({measure(n) for n in group}))
    if len(group) == 1:
        text = sentences.FIND_MISSING(place=where, printed=note_name(form.notes[group[0].form_index].note))
    else:
        text = sentences.FIND_MISSING_SEVERAL(place=where, count=len(group))
    finding = made(
        "missing_note", form, group, measure, text, MISSING_WEIGHT * (1 + len(group)),
        certainty="sure" if len(group) > 1 else "unsure",
    )  # fmt: skip
    bars = [
        b for b in matched.bars if b.position == group[0].position and b.pass_number == group[0].pass_number
    ]
    if finding.start_s is None and bars:
        finding = replace(finding, start_s=bars[0].start_s, end_s=bars[0].end_s)
    return finding
