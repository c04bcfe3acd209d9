"""The score bar by bar in words, for screen readers and for anyone who cannot see the engraving."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from django.utils.translation import gettext as _

from repertoire.notation.score import Measure, Note, Score
from repertoire.show.wording import key_name, metre_name, value_name
from repertoire.wording.pitch_names import pitch_words

REST_FROM_Q = 1 / 64  # shorter gaps are rounding, not rests
MARKS = ("trill", "tremolo", "fermata", "staccato", "accent", "tenuto")


@dataclass(frozen=True, slots=True)
class SpokenBar:
    number: str
    measure_id: str
    text: str


def spoken_bars(score: Score) -> list[SpokenBar]:
    """One sentence a printed bar: what changes, what is marked, then the notes in order."""
    notes = {index: list(group) for index, group in groupby(score.notes, key=lambda n: n.measure_index)}
    before: Measure | None = None
    bars = []
    for measure in score.measures:
        voices = _voices(notes.get(measure.index, []), measure)
        words = [*_changes(measure, before), *_marked(score, measure), *voices]
        bars.append(SpokenBar(measure.number, measure.measure_id, "; ".join(words)))
        before = measure
    return bars


def _changes(measure: Measure, before: Measure | None) -> Iterator[str]:
    if before is None or key_name(measure) != key_name(before):
        yield key_name(measure)
    if before is None or metre_name(measure) != metre_name(before):
        yield metre_name(measure)


def _marked(score: Score, measure: Measure) -> Iterator[str]:
    for mark in score.tempo_marks:
        if mark.measure_index == measure.index and mark.text:
            yield mark.text
    for dynamic in score.dynamics:
        if dynamic.measure_index == measure.index:
            yield _("%(dynamic)s at beat %(beat)s") % {
                "dynamic": dynamic.text,
                "beat": f"{dynamic.start_q / measure.beat_q + 1:g}",
            }
    for hairpin in score.hairpins:
        if hairpin.start_measure == measure.index:
            yield _("crescendo begins") if hairpin.kind == "crescendo" else _("diminuendo begins")
        if hairpin.end_measure == measure.index:
            yield _("crescendo ends") if hairpin.kind == "crescendo" else _("diminuendo ends")


def _voices(notes: list[Note], measure: Measure) -> Iterator[str]:
    voices = {note.voice for note in notes}
    for voice in sorted(voices):
        words = ", ".join(_in_order([note for note in notes if note.voice == voice], measure))
        if len(voices) > 1:
            words = _("voice %(number)s: %(notes)s") % {"number": voice, "notes": words}
        yield words
    if not notes:
        yield _("no new note")


def _in_order(notes: list[Note], measure: Measure) -> Iterator[str]:
    reached_q = 0.0
    for (start_q, grace), together in groupby(notes, key=lambda n: (n.start_q, n.grace)):
        chord = list(together)
        if start_q - reached_q > REST_FROM_Q:
            yield _("rest, %(value)s") % {"value": value_name(start_q - reached_q)}
        pitches = _(" with ").join(pitch_words(note.written) for note in chord)
        yield _("grace note %(pitch)s") % {"pitch": pitches} if grace else _note_words(chord[0], pitches)
        reached_q = max(reached_q, start_q + max(note.duration_q for note in chord))
    if measure.length_q - reached_q > REST_FROM_Q and notes:
        yield _("rest, %(value)s") % {"value": value_name(measure.length_q - reached_q)}


def _note_words(note: Note, pitches: str) -> str:
    names = {
        "trill": _("trill"),
        "tremolo": _("tremolo"),
        "fermata": _("fermata"),
        "staccato": _("staccato"),
        "accent": _("accent"),
        "tenuto": _("tenuto"),
    }
    marks = [names[mark] for mark in MARKS if getattr(note, mark)]
    if note.slurred_to_next:
        marks.append(_("slurred on"))
    return " ".join([pitches, value_name(note.duration_q), *marks])
