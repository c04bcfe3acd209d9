"""Music on paper: A4 and Letter, with what is to be played and, where wanted, the bar notes beside it.

Typst sets the page from its own fonts; words go to it as data, never as markup.
"""

import hashlib
import json
import tempfile
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import typst
from django.core.cache import caches
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repertoire.models import BarNote, Excerpt, shown_fingerings
from repertoire.notation.draw.engraving import engrave_pages
from repertoire.notation.draw.svg_marks import with_pale_bars
from repertoire.notation.order.forms import printed_range
from repertoire.notation.order.order_line import ends_of, print_order, unasked
from repertoire.show.aside import ASIDE_NOTES, CannotBeDrawn, drawn_aside
from repertoire.show.stretches import drawn_notes

EDITION = 1
MOST_PRINTED_NOTES = 8000  # a choice; Typst sets about 5000 a second, in the web process
KEEP_S = 24 * 3600
MARGIN_MM, NOTES_MM, GAP_MM = 18.0, 48.0, 6.0
MM_PER_PX = 7 / 29  # a staff of 29 px printed 7 mm high, a usual size for a single part (from memory)
HEAD_MM = 46.0  # room kept for the title and the lines below it
TEMPLATE = Path(__file__).with_name("music.typ")


@dataclass(frozen=True, slots=True)
class Paper:
    name: str
    width_mm: float
    height_mm: float


PAPERS = {"a4": Paper("a4", 210.0, 297.0), "letter": Paper("us-letter", 215.9, 279.4)}


@dataclass(frozen=True, slots=True)
class PrintedNote:
    """A remark in the margin; `place` says its bars ("Bars 5-8")."""

    place: str
    text: str


@dataclass(frozen=True, slots=True)
class PrintedPart:
    """A heading, lines below it, music as SVG pages, and remarks beside it; every piece may be missing."""

    title: str
    lines: Sequence[str] = ()
    drawings: Sequence[str] = ()
    notes: Sequence[PrintedNote] = field(default=())


def printed_note(note: BarNote) -> PrintedNote:
    return PrintedNote(capfirst(note.bars_text), f"{note.get_kind_display()}: {note.text}")


def printed_notes(excerpt: Excerpt) -> list[PrintedNote]:
    """The bar notes of an excerpt, in the order of the bars they stand at."""
    return [printed_note(note) for note in excerpt.bar_notes.in_print_order(excerpt.score)]


def music_part(
    excerpt: Excerpt,
    *,
    paper: str = "a4",
    order: Sequence[int] | None = None,
    tempo_text: str = "",
    notes: Iterable[PrintedNote] = (),
    fingerings: Mapping[str, str] | None = None,
    more_lines: Sequence[str] = (),
    every_bar: bool = True,
) -> PrintedPart:
    """An excerpt ready for `pdf_of`: of an `order`, only its stretch, with what is not asked pale.

    `more_lines` stand below the tempo; `every_bar` numbers every bar, not only the first of a line.
    """
    score, sheet, remarks = excerpt.score, PAPERS[paper], tuple(notes)
    width_mm = sheet.width_mm - 2 * MARGIN_MM - (NOTES_MM + GAP_MM if remarks else 0)
    height_mm = sheet.height_mm - 2 * MARGIN_MM - HEAD_MM
    pages = _pages(
        excerpt,
        width_px=int(width_mm / MM_PER_PX),
        height_px=int(height_mm / MM_PER_PX),
        bars=ends_of(score, order) if order else None,
        every_bar=every_bar,
        fingerings=dict(shown_fingerings(excerpt) if fingerings is None else fingerings),
    )
    pale = unasked(score, order) if order else frozenset()
    played = print_order(score, order) if order else excerpt.order_text
    lines = [
        excerpt.composer,
        _("To be played: bars %(line)s") % {"line": played},
        tempo_text or excerpt.tempo_text,
        *more_lines,
        _("Bars printed pale are not asked for.") if pale else "",
    ]
    drawings = tuple(with_pale_bars(page, pale) for page in pages)
    return PrintedPart(excerpt.title, tuple(filter(None, lines)), drawings, remarks)


def _pages(excerpt: Excerpt, **options: Any) -> Sequence[str]:
    if drawn_notes(excerpt.musicxml) <= ASIDE_NOTES:
        return engrave_pages(excerpt.musicxml, **options)
    if _note_count(excerpt, options["bars"]) > MOST_PRINTED_NOTES:
        raise CannotBeDrawn
    named = hashlib.sha256(json.dumps(options, sort_keys=True).encode()).hexdigest()
    return drawn_aside(f"pages:{EDITION}:{excerpt.content_hash}:{named}", excerpt.musicxml, options)


def _note_count(excerpt: Excerpt, bars: tuple[str, str] | None) -> int:
    if bars is None:
        return drawn_notes(excerpt.musicxml)
    low, high = printed_range(excerpt.score, *bars)
    return sum(len(excerpt.score.notes_in(index)) for index in range(low, high + 1))


def pdf_of(parts: Sequence[PrintedPart], *, paper: str = "a4") -> bytes:
    """A PDF of these parts, each beginning on a page of its own; kept by content."""
    data = {
        "paper": PAPERS[paper].name,
        "margin": MARGIN_MM,
        "notes_width": NOTES_MM,
        "gap": GAP_MM,
        "page_words": _("page"),
        "parts": [asdict(part) for part in parts],
    }
    text = json.dumps(data, ensure_ascii=False)
    key = f"printed:{EDITION}:{hashlib.sha256(text.encode()).hexdigest()}"
    kept = caches["drawings"].get(key)
    if kept is not None:
        return zlib.decompress(kept)
    pdf = _set(data)
    caches["drawings"].set(key, zlib.compress(pdf), KEEP_S)
    return pdf


def _set(data: dict) -> bytes:
    with tempfile.TemporaryDirectory(prefix="print-") as folder:
        root = Path(folder)
        for p, part in enumerate(data["parts"]):
            drawings = part["drawings"]
            part["drawings"] = [f"{p}-{k}.svg" for k in range(len(drawings))]
            for name, svg in zip(part["drawings"], drawings, strict=True):
                (root / name).write_text(svg, encoding="utf-8")
        (root / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        (root / "main.typ").write_bytes(TEMPLATE.read_bytes())
        return typst.compile(str(root / "main.typ"), root=str(root), ignore_system_fonts=True)
