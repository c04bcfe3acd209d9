"""The position plan of an excerpt for its page, and handing the chosen fingering to everyone who plays it."""

from dataclasses import dataclass
from functools import cached_property

from django.db import transaction
from django.utils.translation import gettext as _

from repertoire.models import BarNote, Excerpt, Fingering
from repertoire.notation.positions.boards import FINGERBOARDS
from repertoire.notation.positions.names import finger_name, note_name, position_name, string_name
from repertoire.notation.positions.plan import Plan, PlannedNote, lowest_first, plan
from repertoire.notation.positions.printed import printed_fingering
from repertoire.notation.score import Note
from repertoire.wording.words import words

# Planned while the page is asked for: 5000 crowded notes take a cello's plan five seconds (measured).
MOST_NOTES = 3000


def can_be_planned(excerpt: Excerpt) -> bool:
    return excerpt.instrument in FINGERBOARDS and len(excerpt.score.notes) <= MOST_NOTES


@dataclass(frozen=True)
class BarLine:
    """One printed bar in the table; a shift count is None where there is nothing to compare with."""

    number: str
    fingers: str
    position: str
    planned: int
    without_choices: int | None
    printed: int | None
    note_by_note: int


class Planned:
    """A fingering with its plan and what it is compared with, each worked out once."""

    def __init__(self, fingering: Fingering) -> None:
        self.fingering = fingering
        self.excerpt = fingering.excerpt
        self.score = self.excerpt.score
        self.board = fingering.board
        self.notes: dict[str, Note] = {note.note_id: note for note in self.score.notes}

    @property
    def _given(self) -> dict:
        return {"board": self.board, "quarter_bpm": float(self.excerpt.marked_bpm) * self.excerpt.beat_unit_q}

    @cached_property
    def plan(self) -> Plan:
        given = {**self._given, "options": self.fingering.options}
        return plan(self.score, locks=self.fingering.locked, **given)

    @cached_property
    def without_choices(self) -> Plan | None:
        if not self.fingering.locks:
            return None
        return plan(self.score, options=self.fingering.options, **self._given)

    @cached_property
    def printed(self) -> Plan | None:
        """The printed fingers with the strings that move the hand least; None where none are printed."""
        locks = printed_fingering(self.excerpt.musicxml)
        return plan(self.score, locks=locks, **self._given) if locks else None

    @cached_property
    def note_by_note(self) -> Plan:
        return lowest_first(self.score, **self._given)

    @cached_property
    def texts(self) -> dict[str, str]:
        """By note id: the finger, with the string where the hand begins or moves or the teacher names it.

        Between shifts finger and note say the string by themselves, and more would crowd the staff.
        """
        named = {note_id for note_id, lock in self.fingering.locked.items() if lock.string is not None}
        return {
            note.note_id: _finger_text(note, k == 0 or note.shifted or note.note_id in named)
            for k, note in enumerate(self.plan.notes)
        }

    @property
    def full_texts(self) -> dict[str, str]:
        """By note id: finger and string of every note."""
        return {note.note_id: _finger_text(note, True) for note in self.plan.notes}

    @cached_property
    def bars(self) -> list[BarLine]:
        by_bar: dict[int, list[PlannedNote]] = {}
        for note in self.plan.notes:
            by_bar.setdefault(note.measure_index, []).append(note)
        unchosen, printed = (
            None if other is None else other.shifts_by_measure()
            for other in (self.without_choices, self.printed)
        )  # fmt: skip
        greedy = self.note_by_note.shifts_by_measure()
        return [
            BarLine(
                number=self.score.measures[index].number,
                fingers=_by_strings(notes),
                position=", ".join(
                    dict.fromkeys(words(position_name(self.board, n.position)) for n in notes)
                ),
                planned=self.plan.shifts_by_measure()[index],
                without_choices=None if unchosen is None else unchosen.get(index, 0),
                printed=None if printed is None else printed.get(index, 0),
                note_by_note=greedy.get(index, 0),
            )
            for index, notes in by_bar.items()
        ]


def _finger_text(note: PlannedNote, with_string: bool) -> str:
    return (
        f"{finger_name(note.finger)} {string_name(note.string)}" if with_string else finger_name(note.finger)
    )


def _by_strings(notes: list[PlannedNote]) -> str:
    """Fingers in the order of play, the string named where it changes: "II: 1 2 4, I: 0 1"."""
    runs: list[tuple[int, list[str]]] = []
    for note in notes:
        if not runs or runs[-1][0] != note.string:
            runs.append((note.string, []))
        runs[-1][1].append(finger_name(note.finger))
    return ", ".join(f"{string_name(string)}: {' '.join(fingers)}" for string, fingers in runs)


@transaction.atomic
def show_to_everyone(planned: Planned, author) -> None:
    """Write the plan at the notes of the engraving and its shifts into the bar notes; earlier ones go."""
    fingering = planned.fingering
    hide_from_everyone(fingering)
    fingering.shown, fingering.author = planned.texts, author
    fingering.save()
    notes = [
        BarNote(excerpt=fingering.excerpt, kind=BarNote.Kind.FINGERING, author=author, **fields)
        for fields in _bar_note_texts(planned)
    ]
    fingering.bar_notes.set(BarNote.objects.bulk_create(notes))


@transaction.atomic
def hide_from_everyone(fingering: Fingering) -> None:
    if fingering.pk:
        fingering.bar_notes.all().delete()
    fingering.shown = {}
    fingering.save()


def _bar_note_texts(planned: Planned) -> list[dict[str, str]]:
    """A note where the hand begins, where it moves, and a caution at the first wide reach."""
    by_bar: dict[int, list[str]] = {}
    ids: dict[int, str] = {}
    for k, note in enumerate(planned.plan.notes):
        if k and not note.shifted:
            continue
        text = (
            _("Begin in position %(position)s.")
            if not k
            else _("Shift to position %(position)s for %(note)s: finger %(finger)s on string %(string)s.")
        )
        sentence = text % {
            "position": words(position_name(planned.board, note.position)),
            "note": words(note_name(planned.notes[note.note_id])),
            "finger": finger_name(note.finger),
            "string": string_name(note.string),
        }
        by_bar.setdefault(note.measure_index, []).append(sentence)
        ids.setdefault(note.measure_index, note.note_id)
    labels = planned.score.measures
    reach = next((note for note in planned.plan.notes if note.stretched), None)
    if reach:
        by_bar.setdefault(reach.measure_index, []).append(
            _("A finger reaches wide for %(note)s; if a reach hurts, stop and ask your teacher.")
            % {"note": words(note_name(planned.notes[reach.note_id]))}
        )
    return [
        {
            "from_bar": labels[index].number[:10],
            "to_bar": labels[index].number[:10],
            "note_id": ids.get(index, "") if len(sentences) == 1 else "",
            "text": " ".join(sentences)[:2000],
        }
        for index, sentences in sorted(by_bar.items())
    ]
