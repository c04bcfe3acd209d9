"""Findings about intonation: one pitch off again and again, single notes, and passages off as a whole.

Cents and seconds; `notes` in played order. Nothing is raised.
"""

import math
from collections import defaultdict

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import NoteResult
from recordings.analysis.measure.fifths import FIFTH_CENTS
from recordings.analysis.measure.intonation import judged
from recordings.analysis.measure.temperaments import EQUAL, JUST, Leaning
from recordings.analysis.settings import AnalysisSettings
from recordings.analysis.tell.finding import Evidence, Finding
from recordings.analysis.tell.note_findings import MeasureOf, made, measure_of
from recordings.analysis.tell.places import note_name, place
from recordings.analysis.tell.tendency_findings import drift, habits, wandering
from repertoire.notation.score import Form
from repertoire.notation.sentence import PitchName, SentenceCode

# cents; a group's limit lies above the 10 cents under which nothing is flagged
# Two notes prove less than many, and the shorter a note the less its pitch is heard (the second: common
# practice, no published source for the figure).
GROUP_CENTS, PAIR_CENTS = 13.0, 18.0
SINGLE_CENTS = 25.0
SINGLE_LEAST_S = 0.25
SINGLE_EVIDENCE = 0.7
STRETCH_NOTES, STRETCH_CENTS = 10, 13.0
LEADING_NOTE_CENTS = 20.0  # high leading notes are chosen; under this they are never called wrong
PLAINLY_CENTS, PLAINLY_NOTES = 30.0, 6  # leaning so far so often is a fault like others
LEANING_WEIGHT = 0.3
LEADING_NOTE = 5  # fifths above the keynote
NEAR_BARS = 4  # the same note this many bars apart belongs to one finding


def pitch(
    form: Form,
    matched: MatchedForm,
    notes: tuple[NoteResult, ...],
    *,
    settings: AnalysisSettings,
    leaning: Leaning | None = None,
) -> list[Finding]:
    """The same note off in one direction, single long notes far off, and passages that lie off as a whole.

    What lies within the player's own system (`leaning`) is style and not told.
    """
    if not settings.intonation_judged:
        return []
    trusted = judged(notes)
    measure = measure_of(form)
    chosen = _chosen(form, notes, settings)
    own = {id(n): _own_place(n, leaning, settings.temperament) for n in trusted}
    found, explained = habits(form, notes, settings=settings)
    used = {id(n) for n in explained}
    found += drift(form, notes)
    for stretch in _stretches([n for n in trusted if id(n) not in used]):
        found.append(_stretch(form, stretch, measure))
        used |= {id(n) for n in stretch}
    by_pitch: dict[PitchName, list[NoteResult]] = defaultdict(list)
    for note in trusted:
        if id(note) not in used:
            by_pitch[note_name(form.notes[note.form_index].note)].append(note)
    for same in by_pitch.values():
        for off in _off_groups(same, measure, settings.tolerance_cents, chosen):
            group = _in_all_passes(same, off, measure, settings.tolerance_cents)
            if _beyond(group, own) < _group_limit(off, chosen):
                continue
            found.append(_group(form, group, measure, settings.tolerance_cents, chosen))
            used |= {id(n) for n in group}
    for note in trusted:
        long = note.ended_s - note.began_s >= SINGLE_LEAST_S and note.evidence >= SINGLE_EVIDENCE
        if id(note) not in used and long and _beyond([note], own) >= SINGLE_CENTS:
            found.append(_group(form, [note], measure, settings.tolerance_cents, chosen))
    return found + wandering(form, notes, used)


def _own_place(note: NoteResult, leaning: Leaning | None, temperament: str) -> float:
    """Cents at which the player's own system has this note, beside the system asked for.

    Just intonation is asked for by those who mean it: nothing is excused from it.
    """
    if leaning is None or temperament == JUST:
        return 0.0
    asked = 0.0 if temperament == EQUAL else FIFTH_CENTS
    return (leaning.kept_to - asked) * (note.fifths - leaning.middle)


def _beyond(group: list[NoteResult], own: dict[int, float]) -> float:
    """How far the group lies off in the middle, less what its player's own system makes of that."""
    cents = float(np.median([n.off_cents for n in group]))
    excused = float(np.median([own.get(id(n), 0.0) for n in group]))
    return abs(cents - np.clip(excused, min(cents, 0.0), max(cents, 0.0)))


def _chosen(form: Form, notes: tuple[NoteResult, ...], settings: AnalysisSettings) -> set[int]:
    """Ids of notes leaning where they lead: high leading notes, notes a semitone from the next, and sharps a
    little high and flats a little low, where pure fifths have them.

    Players draw such semitones narrow on purpose, to 80 or 90 cents.
    """
    chosen = set()
    for note, following in zip(notes, [*notes[1:], None], strict=True):
        if note.deviation_cents is None:
            continue
        step = following.midi - note.midi if following else 0
        leads = abs(step) == 1 and step * note.deviation_cents > 0
        leading = note.fifths - _keynote(form, note, settings) == LEADING_NOTE and note.deviation_cents > 0
        altered = form.notes[note.form_index].note.written_alter * note.deviation_cents > 0
        if leads or leading or (altered and settings.temperament != "pythagorean"):
            chosen.add(id(note))
    return chosen


def _keynote(form: Form, note: NoteResult, settings: AnalysisSettings) -> int:
    if settings.keynote is not None:
        return settings.keynote
    return form.score.measures[form.bars[note.position].measure_index].keynote


def _stretches(trusted: list[NoteResult]) -> list[list[NoteResult]]:
    """Runs of notes whose moving median lies off in one direction."""
    if len(trusted) < STRETCH_NOTES:
        return []
    cents = np.array([n.deviation_cents for n in trusted])
    half = STRETCH_NOTES // 2
    moving = np.array([np.median(cents[max(0, i - half) : i + half + 1]) for i in range(cents.size)])
    runs: list[list[NoteResult]] = []
    sign_before = 0
    for note, value in zip(trusted, moving, strict=True):
        sign = int(np.sign(value)) if abs(value) >= STRETCH_CENTS else 0
        if sign and sign == sign_before:
            runs[-1].append(note)
        elif sign:
            runs.append([note])
        sign_before = sign
    pitches = [r for r in runs if len(r) >= STRETCH_NOTES and len({n.midi for n in r}) >= 4]
    return [r for r in pitches if abs(np.mean([np.sign(n.off_cents) for n in r])) > 0.8]


def _off_groups(
    same: list[NoteResult], measure: MeasureOf, tolerance: float, chosen: set[int]
) -> list[list[NoteResult]]:
    """Notes of one name off in one direction: two or more near each other, with all between them."""
    off = [n for n in same if abs(n.off_cents) >= tolerance]
    groups: list[list[NoteResult]] = []
    for note in off:
        joins = (
            groups
            and np.sign(groups[-1][-1].off_cents) == np.sign(note.off_cents)
            and abs(measure(note) - measure(groups[-1][-1])) <= NEAR_BARS
        )
        if joins:
            groups[-1].append(note)
        else:
            groups.append([note])
    kept: dict[bool, list[NoteResult]] = {}
    for group in groups:
        first, last = same.index(group[0]), same.index(group[-1])
        everything = same[first : last + 1]
        median = float(np.median([n.deviation_cents for n in everything]))
        limit = _group_limit(group, chosen)
        if len(group) >= 2 and len(group) >= 0.6 * len(everything) and abs(median) >= limit:
            # the same note off in the same direction is one finding, wherever it comes
            kept.setdefault(median > 0, []).extend(everything)
    return list(kept.values())


def _group_limit(group: list[NoteResult], chosen: set[int]) -> float:
    """Cents beyond which this group is told: more for two notes than many, for short than long ones."""
    leaning = sum(id(n) in chosen for n in group) > len(group) / 2
    base = LEADING_NOTE_CENTS if leaning else PAIR_CENTS if len(group) <= 2 else GROUP_CENTS
    length_s = float(np.median([n.ended_s - n.began_s for n in group]))
    return base * max(1.0, math.sqrt(SINGLE_LEAST_S / max(length_s, 0.02)))


def _in_all_passes(
    same: list[NoteResult], group: list[NoteResult], measure: MeasureOf, tolerance: float
) -> list[NoteResult]:
    """The group with every note of the name in the bars that will be named, so that "all" means all."""
    side = np.sign(np.median([n.deviation_cents for n in group]))
    bars = {measure(n) for n in group if n.deviation_cents * side >= tolerance}
    members = {id(n) for n in group}
    return [n for n in same if id(n) in members or measure(n) in bars]


def _rounded(cents: float) -> int:
    step = 5 if abs(cents) >= 12 else 1
    return int(round(abs(cents) / step) * step)


def _group(
    form: Form, group: list[NoteResult], measure: MeasureOf, tolerance: float, chosen: set[int]
) -> Finding:
    cents = float(np.median([n.deviation_cents for n in group]))
    off = [n for n in group if n.off_cents * cents > 0 and abs(n.off_cents) >= tolerance]
    where = place(form.score, sorted({measure(n) for n in off}))
    name = note_name(form.notes[group[0].form_index].note)
    text = _pitch_code(group, off, high=cents > 0).of(
        place=where, note=name, notes=sentences.SEVERAL(note=name), off=len(off), count=len(group),
        cents=_rounded(cents),
    )  # fmt: skip
    seconds = sum(min(n.ended_s - n.began_s, 1.0) for n in off)
    weight = (abs(cents) - 8) * (0.6 + min(seconds, 4.0)) * (0.7 + 0.15 * min(len(off), 6))
    if sum(id(n) in chosen for n in off) > len(off) / 2 and not _plainly_off(cents, off):
        weight *= LEANING_WEIGHT
    evidence: Evidence = {
        "median_cents": round(cents, 1),
        "seconds": round(seconds, 2),
        "note": name.letter,
        "alter": name.alter,
    }
    sure = "sure" if float(np.mean([n.evidence for n in off])) >= 0.6 else "unsure"
    return made("intonation", form, off, measure, text, weight, certainty=sure, evidence=evidence)


def _plainly_off(cents: float, off: list[NoteResult]) -> bool:
    return abs(cents) >= PLAINLY_CENTS and len(off) >= PLAINLY_NOTES


def _pitch_code(group: list[NoteResult], off: list[NoteResult], *, high: bool) -> SentenceCode:
    if len(group) == 1:
        return sentences.FIND_PITCH_SINGLE_HIGH if high else sentences.FIND_PITCH_SINGLE_LOW
    if len(off) < len(group):
        return sentences.FIND_PITCH_SEVERAL_HIGH if high else sentences.FIND_PITCH_SEVERAL_LOW
    if len(group) == 2:
        return sentences.FIND_PITCH_BOTH_HIGH if high else sentences.FIND_PITCH_BOTH_LOW
    return sentences.FIND_PITCH_ALL_HIGH if high else sentences.FIND_PITCH_ALL_LOW


def _stretch(form: Form, group: list[NoteResult], measure: MeasureOf) -> Finding:
    cents = float(np.median([n.deviation_cents for n in group]))
    where = place(form.score, sorted({measure(n) for n in group}))
    code = sentences.FIND_PITCH_STRETCH_HIGH if cents > 0 else sentences.FIND_PITCH_STRETCH_LOW
    text = code(place=where, count=len(group), cents=_rounded(cents))
    weight = (abs(cents) - 8) * min(len(group), 20) * 0.4
    evidence = {"median_cents": round(cents, 1)}
    return made("intonation_stretch", form, group, measure, text, weight, evidence=evidence)
