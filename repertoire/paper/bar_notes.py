"""Bar notes as they stand in the margin of paper."""

from repertoire.models import BarNote, Excerpt
from repertoire.paper.music import PrintedNote


def printed_note(note: BarNote) -> PrintedNote:
    place = f"{note.bars_text[:1].upper()}{note.bars_text[1:]}"
    return PrintedNote(place, f"{note.get_kind_display()}: {note.text}")


def printed_notes(excerpt: Excerpt) -> list[PrintedNote]:
    return [printed_note(note) for note in excerpt.bar_notes.in_print_order(excerpt.score)]
