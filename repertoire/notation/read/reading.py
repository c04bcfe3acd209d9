"""The one door through which a score comes in: bytes to a canonical MusicXML and its `Score`.

The content decides what a file is: MusicXML, .mxl, or MIDI, ABC and kern, which `foreign` makes into MusicXML
first. `read_score` does the work in this process; `read_score_in_child` does the same in a child with a time
and a memory limit and is what an upload should use. `load_canonical` re-reads what was stored.
"""

import json
import os
import signal
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.order.navigation import ending_groups
from repertoire.notation.order.printed_order import (
    check_engraves,
    order_without_repeats,
    printed_order,
    verovio_order,
)
from repertoire.notation.read.canonical import canonical_tree
from repertoire.notation.read.file_kind import Kind, kind_of
from repertoire.notation.read.other_formats import to_musicxml
from repertoire.notation.read.parts import PartChoice, SeveralParts, choices_in
from repertoire.notation.read.safety import DEFAULT_LIMITS, Limits, parse, score_bytes
from repertoire.notation.read.walker import RawNote, Walker
from repertoire.notation.score import BadScore, Note, Score
from repertoire.notation.xml import parse_trusted, to_text

MEGABYTE = 1024 * 1024
TIMEOUT_S = 8.0  # with starting the child and reading its answer an upload is answered within 10 s
MEMORY_MB = 500
NAMED_BARS = 8
SAME_LENGTH_Q = 1e-3
OUT_OF_MEMORY_EXIT = 3
# How a process ends for want of memory: our own exit, glibc's (no room for thread data), C++'s abort, a kill.
OUT_OF_MEMORY_CODES = {OUT_OF_MEMORY_EXIT, 127, -signal.SIGABRT, -signal.SIGKILL}
PROJECT_ROOT = Path(__file__).resolve().parents[3]


@dataclass(frozen=True, slots=True)
class CanonicalScore:
    """The MusicXML to store, draw and analyse, and what it says."""

    musicxml: str
    score: Score
    remarks: tuple[str, ...] = ()  # what a person should know of how it was made from another format


def read_score(
    data: bytes,
    *,
    filename: str = "score.musicxml",
    limits: Limits = DEFAULT_LIMITS,
    part: str | None = None,
    choice: str | None = None,
    ask: bool = False,
) -> CanonicalScore:
    """Read an uploaded score; raises `BadScore` with one sentence.

    `filename` is never trusted. `choice` is the key of a `PartChoice`; without it the first part with notes
    is taken, or the one whose id or name is `part`. With `ask` and without either, a score of several parts
    or voices raises `SeveralParts` instead.
    """
    kind = kind_of(data)
    remarks: tuple[str, ...] = ()
    if kind is not Kind.MUSICXML:
        data, remarks = to_musicxml(data, kind, limits)
    root, _ = parse(score_bytes(data, limits), limits)
    if ask and part is None and choice is None:
        choices = choices_in(root)
        if len(choices) > 1:
            raise SeveralParts(choices)
    tree = canonical_tree(root, limits, part, choice)
    score = _score(tree)
    _check_played(score, limits)
    check_engraves(tree)
    if kind is not Kind.MUSICXML:
        remarks += uneven_bars(tree, score)
    return CanonicalScore(musicxml=to_text(tree), score=score, remarks=remarks)


def _check_played(score: Score, limits: Limits) -> None:
    """Repeats within repeats can make a small file play for ever."""
    notes_in = Counter(note.measure_index for note in score.notes)
    if sum(notes_in[index] for index in score.order) > limits.played_notes:
        raise BadScore(messages.PLAYED_MANY_NOTES.format(limit=limits.played_notes))


def uneven_bars(tree: Element, score: Score) -> tuple[str, ...]:
    """A sentence naming bars that do not fill their metre, or were filled up with a rest that is not printed.

    The first and the last bar may be short.
    """
    filled = [
        measure.find("note[@print-object='no']/rest") is not None and measure.find("backup") is None
        for measure in tree.iter("measure")
    ]
    odd = [
        bar.number
        for bar in score.measures[1:-1]
        if filled[bar.index] or abs(bar.length_q - 4 * bar.beats / bar.beat_type) > SAME_LENGTH_Q
    ]
    if not odd:
        return ()
    named = ", ".join(odd[:NAMED_BARS]) + (messages.AND_MORE if len(odd) > NAMED_BARS else "")
    return (messages.UNEVEN_BARS.format(bars=named),)


def load_canonical(musicxml: str) -> Score:
    """The `Score` of a stored canonical MusicXML, whose ids are already there."""
    tree = parse_trusted(musicxml)
    try:
        return _score(tree)
    except (
        BadScore
    ):  # kept when contradicting signs were not refused yet; it was confirmed as Verovio reads it
        order = verovio_order(tree)
        return _score(tree, orders=(order, tuple(dict.fromkeys(order))))


def read_score_in_child(
    data: bytes,
    *,
    filename: str = "score.musicxml",
    timeout_s: float = TIMEOUT_S,
    memory_mb: int = MEMORY_MB,
    part: str | None = None,
    choice: str | None = None,
    ask: bool = False,
) -> CanonicalScore:
    """`read_score` in a child process limited to `timeout_s` seconds and `memory_mb` of address space."""
    wanted = json.dumps({"part": part, "choice": choice, "ask": ask})
    command = [sys.executable, "-m", "repertoire.notation.read.child", str(memory_mb), wanted]
    environment = {"PATH": os.environ.get("PATH", ""), "PYTHONPATH": str(PROJECT_ROOT), "PYTHONUTF8": "1"}
    try:
        done = subprocess.run(
            command,
            input=data,
            capture_output=True,
            timeout=timeout_s,
            cwd=PROJECT_ROOT,
            env=environment,
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise BadScore(messages.TOO_SLOW) from error
    if done.returncode in OUT_OF_MEMORY_CODES:
        raise BadScore(messages.TOO_HEAVY)
    if done.returncode < 0:  # Verovio crashes on forms such as a coda inside an ending inside its own repeat
        raise BadScore(messages.CONTRADICTORY)
    if done.returncode != 0:
        raise RuntimeError(f"the score reader failed: {done.stderr.decode(errors='replace')[-2000:]}")
    answer = json.loads(done.stdout)
    if "bad_score" in answer:
        raise BadScore(answer["bad_score"])
    if "choices" in answer:
        raise SeveralParts(tuple(PartChoice(**one) for one in answer["choices"]))
    return CanonicalScore(
        musicxml=answer["musicxml"],
        score=load_canonical(answer["musicxml"]),
        remarks=tuple(answer["remarks"]),
    )


def _score(tree: Element, orders: tuple[tuple[int, ...], tuple[int, ...]] | None = None) -> Score:
    measures = tree.findall("part/measure")
    walker = Walker()
    walker.walk(measures)
    notes = _finished(walker.notes)
    if not notes:
        raise BadScore(messages.NO_NOTES)
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
