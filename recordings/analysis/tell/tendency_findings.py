"""Findings about pitch as a habit, and about tuning through the whole take.

Cents and seconds; `notes` in played order. Nothing is raised.
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.follow.note_result import NoteResult
from recordings.analysis.measure.intonation import judged
from recordings.analysis.measure.tendencies import APPROACH, NOTICED_CENTS, REGISTER, Group, groups, tendency
from recordings.analysis.settings import AnalysisSettings
from recordings.analysis.statistics import robust_spread
from recordings.analysis.tell.finding import SURE, Evidence, Finding, heard_places
from recordings.analysis.tell.places import bars_text, note_name, place
from repertoire.notation.score import Form
from repertoire.notation.sentence import PitchName, Sentence

# chosen on synthetic and sampled takes, November 2026; nothing under 10 cents is told (standards: literature)
HABIT_CENTS, HABIT_NOTES, HABIT_PITCHES, HABIT_SHARE = 11.0, 10, 3, 0.75
EDGE_CENTS = 8.0  # a pitch whose median lies nearer ends the high or low notes that lie off together
APART_CENTS = 8.0  # from the notes outside the group: else it is no habit of this group
DRIFT_CENTS, DRIFT_NOTES = 12.0, 24
WANDERS_CENTS, WANDERS_NOTES, WANDERS_LEAST_S = 36.0, 6, 0.2  # between the 10th and 90th percentile
SECURE_BARS, SECURE_NOTES, SECURE_SHARE = 4, 16, 0.8


def habits(
    form: Form, notes: tuple[NoteResult, ...], *, settings: AnalysisSettings
) -> tuple[list[Finding], list]:
    """(findings, the notes they explain): leaps, steps and registers that lie off as a whole."""
    trusted = judged(notes)
    found: list[Finding] = []
    explained: list = []
    approaches = [g for g in groups(notes, trusted) if g.group == APPROACH]
    clear = [g for g in [*approaches, *_ends(trusted)] if _is_habit(g, trusted)]
    for group in sorted(clear, key=lambda g: -abs(np.median(g.cents)) * len(g.notes)):
        taken = {id(n) for n in explained}
        rest = [n for n in group.notes if id(n) not in taken]
        if len(rest) >= 0.7 * len(group.notes):
            found.append(_habit(form, group, settings))
            explained += group.notes
    return found, explained


def _ends(trusted: list) -> list[Group]:
    """The highest and the lowest pitches, as far inwards as all of them lie off to one side."""
    by_pitch: dict[int, list] = defaultdict(list)
    for note in trusted:
        by_pitch[note.midi].append(note)
    found = []
    for name, pitches in (("high", sorted(by_pitch, reverse=True)), ("low", sorted(by_pitch))):
        side, members = 0.0, []
        for midi in pitches:
            middle = float(np.median([n.deviation_cents for n in by_pitch[midi]]))
            side = side or float(np.sign(middle))
            if side * middle < EDGE_CENTS:
                break
            members += by_pitch[midi]
        if members and len(members) < len(trusted):
            in_order = tuple(sorted(members, key=lambda n: n.onset_s))
            found.append(Group(REGISTER, name, in_order))
    return found


def _is_habit(group: Group, trusted: list) -> bool:
    """Many notes, clearly off, most of them; not only because of one pitch among them."""
    inside = {id(n) for n in group.notes}
    outside = [n.deviation_cents for n in trusted if id(n) not in inside]
    if len(group.notes) < HABIT_NOTES or len({n.midi for n in group.notes}) < HABIT_PITCHES or not outside:
        return False
    facts = tendency(group)
    middle = facts.deviation_cents
    apart = (middle - float(np.median(outside))) * np.sign(middle)
    return (
        abs(middle) >= HABIT_CENTS
        and facts.agreeing_count >= HABIT_SHARE * facts.note_count
        and apart >= APART_CENTS
        and _stands_without_each_pitch(group, middle)
    )


def _stands_without_each_pitch(group: Group, middle: float) -> bool:
    """Whether the habit stands when any one pitch, in all its octaves, is taken away."""
    for pitch in {n.midi % 12 for n in group.notes}:
        rest = [n.deviation_cents for n in group.notes if n.midi % 12 != pitch]
        if len(rest) < HABIT_NOTES / 2 or np.sign(middle) * np.median(rest) < HABIT_CENTS - 1:
            return False
    return True


def _habit(form: Form, group: Group, settings: AnalysisSettings) -> Finding:
    facts = tendency(group)
    cents = facts.deviation_cents
    off = [
        n for n in group.notes if n.deviation_cents * cents > 0 and abs(n.deviation_cents) >= NOTICED_CENTS
    ]
    text = sentences.HABITS[group.name, bool(cents > 0)].of(
        note=_edge(form, group), cents=int(5 * round(abs(cents) / 5)), off=facts.agreeing_count,
        count=facts.note_count,
    )  # fmt: skip
    weight = (abs(cents) - 6) * (1.5 + 0.12 * min(len(off), 30))
    worst = [n for n in off if abs(n.deviation_cents) >= settings.tolerance_cents] or off
    evidence: Evidence = {"median_cents": round(cents, 1), "tendency": group.name, "agreeing_notes": len(off)}
    return _about("intonation_habit", form, worst, text, weight, len(group.notes), evidence)


def _edge(form: Form, group: Group) -> PitchName:
    """The outermost note of the low ones or of the others, by its written name."""
    members = sorted(group.notes, key=lambda n: n.midi)
    edge = members[-1] if group.name == "low" else members[0]
    return note_name(form.notes[edge.form_index].note)


def _about(
    kind: str,
    form: Form,
    notes: Sequence[NoteResult],
    text: Sentence,
    weight: float,
    count: int,
    evidence: Evidence,
    *,
    strength: bool = False,
) -> Finding:
    measures = sorted({form.bars[n.position].measure_index for n in notes})
    first = min(notes, key=lambda n: n.began_s)
    return Finding(
        kind, bars_text(form.score, measures), tuple(form.score.measures[m].number for m in measures),
        first.position, max(first.began_s - 0.5, 0.0), max(n.ended_s for n in notes) + 0.3, text, weight,
        SURE, count, evidence, tuple(n.note_id for n in notes), strength, heard_places(notes),
    )  # fmt: skip


def drift(form: Form, notes: tuple) -> list[Finding]:
    """The pitch of the whole rising or sinking from the first quarter of the take to the last."""
    trusted = judged(notes)
    if len(trusted) < DRIFT_NOTES:
        return []
    cents = np.array([n.deviation_cents for n in trusted])
    quarters = [float(np.median(part)) for part in np.array_split(cents, 4)]
    change = quarters[3] - quarters[0]
    steps = np.diff(quarters) * np.sign(change)
    unrest = robust_spread(cents) / np.sqrt(len(trusted) / 4)
    if abs(change) < max(DRIFT_CENTS, 4.0 * unrest) or steps.min() < -2.0:
        return []
    code = sentences.FIND_DRIFT_UP if change > 0 else sentences.FIND_DRIFT_DOWN
    text = code(cents=round(abs(change)), count=len(trusted))
    return [
        Finding(
            "tuning_drift", "", (), None, None, None, text, 14.0 + abs(change), SURE, len(trusted),
            {"change_cents": round(change, 1)},
        )
    ]  # fmt: skip


def wandering(form: Form, notes: tuple, explained: set[int]) -> list[Finding]:
    """One pitch now high, now low: long enough notes only, and no one direction to be told instead."""
    same: dict[int, list] = defaultdict(list)
    for note in judged(notes):
        if id(note) not in explained and note.ended_s - note.began_s >= WANDERS_LEAST_S:
            same[note.midi].append(note)
    found = []
    for members in same.values():
        cents = np.array([n.deviation_cents for n in members])
        low, high = np.percentile(cents, [10, 90]) if cents.size >= WANDERS_NOTES else (0.0, 0.0)
        if high - low < WANDERS_CENTS or low > -12.0 or high < 12.0:
            continue
        measures = sorted({form.bars[n.position].measure_index for n in members})
        text = sentences.FIND_WANDERS(
            place=place(form.score, measures), notes=sentences.SEVERAL(note=_name(form, members[0])),
            low=round(float(-low)), high=round(float(high)), count=len(members),
        )  # fmt: skip
        evidence = {"low_cents": round(float(low), 1), "high_cents": round(float(high), 1)}
        found.append(_about("intonation_wanders", form, members, text, 0.4 * (high - low), len(members),
                            evidence))  # fmt: skip
    return found


def _name(form: Form, note: NoteResult) -> PitchName:
    return note_name(form.notes[note.form_index].note)


def secure_bars(form: Form, notes: tuple[NoteResult, ...], *, settings: AnalysisSettings) -> list[Finding]:
    """The longest run of neighbouring bars whose measured notes all lie within the tolerance."""
    by_position: dict[tuple[int, int], list] = defaultdict(list)
    for note in notes:
        if note.status != "missing" or note.evidence:
            by_position[note.position, note.pass_number].append(note)
    trusted = {id(n) for n in judged(notes)}
    runs: list[list[list]] = [[]]
    last = None
    for (position, _), members in sorted(by_position.items()):
        if last is not None and position != last + 1:
            runs.append([])
        last = position
        measured = [n for n in members if id(n) in trusted]
        clean = all(n.status == "played" for n in members if n.reason is None)
        near = all(abs(n.deviation_cents) <= settings.tolerance_cents for n in measured)
        if clean and near and len(measured) >= SECURE_SHARE * len(members):
            runs[-1].append(measured)
        else:
            runs.append([])
    run = max(runs, key=lambda bars: sum(map(len, bars)))
    together = [n for bar in run for n in bar]
    if len(run) < SECURE_BARS or len(together) < SECURE_NOTES:
        return []
    measures = sorted({form.bars[n.position].measure_index for n in together})
    text = sentences.STRENGTH_SECURE_BARS(
        place=place(form.score, measures), count=len(together), cents=round(settings.tolerance_cents)
    )
    return [
        _about("strength_bars", form, together, text, 2.8, len(together), {}, strength=True)
    ]  # fmt: skip
