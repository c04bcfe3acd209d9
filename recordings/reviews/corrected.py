"""What was set right in a measurement, as the desk shows it: what holds, what could not be, and the form."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from recordings.jobs.request import bar_id
from recordings.models import Correction, Take
from recordings.reviews.bar_table import numbered_time
from recordings.reviews.correction_form import OTHER, CorrectionForm, TypedLine, time_text
from recordings.reviews.orders import orders_of
from recordings.reviews.score_data import NoteNames, tolerance_of
from repertoire.words import bar_words, bars_in_words

MOST_NOTES = 80  # offered as having been right; more are mended by bars, not note by note


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that was said, and whether the measurement agrees with it by now."""

    words: str
    applied: bool


@dataclass(frozen=True, slots=True)
class Choice:
    value: str
    label: str
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Desk:
    """The form as it is shown: what was typed last, else what holds."""

    form: CorrectionForm
    correction: Correction | None
    told: tuple[Told, ...]
    orders: tuple[Choice, ...]
    bars: tuple[Choice, ...]
    lines: tuple[tuple[TypedLine, str], ...]
    notes: tuple[Choice, ...]

    @property
    def holds(self) -> bool:
        return self.correction is not None and not self.correction.is_empty

    @property
    def is_other_order(self) -> bool:
        return self.form.order == OTHER

    @property
    def refused(self) -> tuple[Told, ...]:
        return tuple(one for one in self.told if not one.applied)


def desk_of(take: Take, form: CorrectionForm | None = None) -> Desk:
    """For a page of this take; `form` where what was typed could not be kept."""
    correction = take.correction
    shown = form or _stored(take, correction)
    labels = _bar_labels(take, correction)
    orders = _orders(take, shown)
    if shown.order and shown.order not in [choice.value for choice in orders] and shown.order != OTHER:
        shown.order, shown.order_line = OTHER, shown.order
    return Desk(
        form=shown,
        correction=correction,
        told=tuple(_told(take, correction)) if correction else (),
        orders=orders,
        bars=tuple(Choice(value, label) for value, label in labels.items()),
        lines=tuple((line, labels.get(line.bar, "")) for line in shown.lines if line.bar),
        notes=tuple(_notes(take, shown)),
    )


def _stored(take: Take, correction: Correction | None) -> CorrectionForm:
    if correction is None:
        return CorrectionForm(take, 0)
    return CorrectionForm(
        take,
        correction.edition,
        time_text(correction.begins_s),
        time_text(correction.ends_s),
        correction.order_line,
        "",
        tuple(
            TypedLine(f"{line['measure_id']}|{line['pass']}", time_text(line["time_s"]))
            for line in correction.bar_lines
        ),
        tuple(_value(note) for note in correction.right_notes),
    )


def _orders(take: Take, form: CorrectionForm) -> tuple[Choice, ...]:
    found = orders_of(take.requirement)
    return tuple(Choice(line, f"{bars_in_words(line)}: {words}", line == form.order) for line, words in found)


def _bar_labels(take: Take, correction: Correction | None) -> dict[str, str]:
    """By value of the form: the bars that were heard, and those somebody has placed."""
    bars = (take.analysis.result or {}).get("bars", [])
    heard = [bar for bar in bars if not bar.get("attempt_left")]
    placed = correction.bar_lines if correction else []
    return {f"{bar['measure_id']}|{bar['pass']}": _bar(bar["bar"], bar["pass"]) for bar in [*heard, *placed]}


def _bar(label: str, number: int) -> str:
    bar = bar_words(label, label)
    return f"{bar}, {numbered_time(number)}" if number > 1 else bar


def _notes(take: Take, form: CorrectionForm) -> Iterator[Choice]:
    """Notes told as wrong, missing or off, and those that were said to be right."""
    result = take.analysis.result or {}
    names = NoteNames(take.requirement.excerpt.score)
    left_out = set(result.get("form", {}).get("left_out", []))
    doubted = [
        note
        for note in result.get("notes", [])
        if note["bar"] not in left_out and is_doubted(note, tolerance_of(result))
    ]
    values = {_value(note): note for note in doubted[:MOST_NOTES]}
    by_value = {_value(note): note for note in result.get("notes", [])}
    for value in dict.fromkeys([*values, *form.right]):
        note = values.get(value) or by_value.get(value)
        if note is not None:
            yield Choice(value, _note_words(note, names), value in form.right)


def _value(note: dict) -> str:
    return f"{note['note_id']}|{note['pass']}"


def is_doubted(note: dict, tolerance_cents: float) -> bool:
    off = note["deviation_cents"]
    return note["status"] in ("wrong_pitch", "missing") or (off is not None and abs(off) > tolerance_cents)


def _note_words(note: dict, names: NoteNames) -> str:
    where = _("%(bar)s, beat %(beat)s, %(name)s") % {
        "bar": _bar(note["bar"], note["pass"]),
        "beat": f"{note['beat']:g}"[:4],
        "name": names.of(note["note_id"]),
    }
    off = note["deviation_cents"]
    if note["status"] == "wrong_pitch":
        return f"{where}: {_('another note heard')}"
    if note["status"] == "missing":
        return f"{where}: {_('not heard')}"
    if off is None:
        return where
    cents = _("%(cents)d cents high") if off > 0 else _("%(cents)d cents low")
    return f"{where}: {cents % {'cents': round(abs(off))}}"


def _told(take: Take, correction: Correction) -> Iterator[Told]:
    """Each thing that was said; what the last measuring does not name was not applied."""
    outcomes = {
        (outcome["what"], outcome["where"], outcome["pass"]): outcome["applied"]
        for outcome in (take.analysis.result or {}).get("corrections", [])
    }

    def told(words: str, *key) -> Told:
        return Told(words, outcomes.get(key, False))

    excerpt = take.requirement.excerpt
    same = correction.score_hash == excerpt.content_hash
    names = NoteNames(excerpt.score)
    if correction.begins_s is not None:
        yield told(_("the take begins at %(at)s") % {"at": time_text(correction.begins_s)}, "begins", "", 0)
    if correction.ends_s is not None:
        yield told(_("the take ends at %(at)s") % {"at": time_text(correction.ends_s)}, "ends", "", 0)
    if correction.order_line:
        yield told(_("played: bars %(bars)s") % {"bars": correction.order_line}, "order", "", 0)
    for line in correction.bar_lines:
        bar = {"bar": _bar(line["bar"], line["pass"]), "at": time_text(line["time_s"])}
        key = ("bar_line", bar_id(line, excerpt.score, same_music=same), line["pass"])
        yield told(_("%(bar)s begins at %(at)s") % bar, *key)
    for note in correction.right_notes:
        named = {"bar": _bar(note["bar"], note["pass"]), "name": names.of(note["note_id"])}
        words = _("%(bar)s, %(name)s: right") if named["name"] else _("a note in %(bar)s: right")
        yield told(words % named, "right_note", note["note_id"] if same else "", note["pass"])
