"""A canonical tree, whose bars and notes have their ids, to the `Score` it says.

Times are exact fractions of a quarter until ties are merged, and floats in quarters in the `Score`.
"""

from dataclasses import replace
from fractions import Fraction
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.order.navigation import ending_groups
from repertoire.notation.order.printed_order import order_without_repeats, printed_order
from repertoire.notation.read.walker import RawNote, Walker
from repertoire.notation.score import BadScore, Note, Score


def score_of(tree: Element, orders: tuple[tuple[int, ...], tuple[int, ...]] | None = None) -> Score:
    """Raises `BadScore` for music that cannot be played from; `orders` with and without repeats, if known."""
    measures = tree.findall("part/measure")
    walker = Walker()
    walker.walk(measures)
    notes = _finished(walker.notes)
    if not notes:
        raise BadScore(messages.NO_NOTES())
    order, plain = orders or (printed_order(tree), order_without_repeats(tree))
    return Score(
        title=_title(tree),
        composer=_composer(tree),
        part_name=(tree.findtext("part-list/score-part/part-name") or "").strip(),
        transposition=walker.state.first_transposition or 0,
        measures=tuple(walker.measures),
        notes=notes,
        order=order,
        order_without_repeats=plain,
        endings=tuple(tuple(group) for group in ending_groups(measures)),
        tempo_marks=tuple(walker.marks.tempo_marks),
        dynamics=tuple(walker.marks.dynamics),
        hairpins=tuple(walker.marks.hairpins),
    )


def _title(tree: Element) -> str:
    names = [tree.findtext("work/work-title"), tree.findtext("movement-title")]
    return ": ".join(dict.fromkeys(" ".join(name.split()) for name in names if name and name.strip()))


def _composer(tree: Element) -> str:
    for creator in tree.iterfind("identification/creator"):
        if creator.get("type") == "composer":
            return " ".join((creator.text or "").split())
    return ""


def _finished(raw: list[RawNote]) -> tuple[Note, ...]:
    """Merge ties, sort by bar, start (grace first) and pitch, and flag chords."""
    merged = _merge_ties(raw)
    order = {note.note_id: k for k, note in enumerate(raw)}
    merged.sort(
        key=lambda n: (n.measure_index, n.start_q, not n.grace, order[n.note_id] if n.grace else n.midi)
    )
    counts: dict[tuple[int, float], int] = {}
    for note in merged:
        if not note.grace:
            key = (note.measure_index, note.start_q)
            counts[key] = counts.get(key, 0) + 1
    return tuple(
        replace(note, chord=not note.grace and counts[(note.measure_index, note.start_q)] > 1)
        for note in merged
    )


def _merge_ties(raw: list[RawNote]) -> list[Note]:
    """One note per sounding note: a continuation starts where a note of the same pitch, tied on, ends."""
    open_ties: dict[tuple[int, Fraction], list[RawNote]] = {}
    chains: list[list[RawNote]] = []
    for note in sorted(raw, key=lambda n: n.at):
        chain = open_ties.pop((note.midi, note.at), None) if note.tie_stop else None
        if chain is None:
            chain = []
            chains.append(chain)
        chain.append(note)
        if note.tie_start:
            open_ties[(note.midi, note.at + note.duration)] = chain
    return [_from_chain(chain) for chain in chains]


def _from_chain(chain: list[RawNote]) -> Note:
    first, rest = chain[0], chain[1:]
    marks = frozenset().union(*(piece.marks for piece in chain))
    return Note(
        note_id=first.note_id,
        measure_index=first.measure_index,
        start_q=float(first.start),
        duration_q=float(sum((piece.duration for piece in chain), Fraction(0))),
        midi=first.midi,
        written_step=first.step,
        written_alter=first.alter,
        written_octave=first.octave,
        tied_ids=tuple(piece.note_id for piece in rest),
        tied_at=tuple((piece.measure_index, float(piece.start), float(piece.duration)) for piece in rest),
        grace=first.grace,
        slurred_to_next=chain[-1].slurred,
        voice=first.voice,
        **dict.fromkeys(marks, True),
    )
