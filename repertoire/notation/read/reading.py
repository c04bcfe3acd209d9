"""The only door through which a score comes in: bytes to a canonical MusicXML and its `Score`.

The content decides what a file is: MusicXML, .mxl, or MIDI, ABC and kern, which `other_formats` makes into
MusicXML first. `read_score` does the work in this process; `read_score_in_child` does the same in a bounded
process and is what an upload should use. `load_canonical` re-reads what was stored. What cannot be read
raises `BadScore` with a sentence for a person.
"""

import json
from collections import Counter
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.bounded import Ending, ProcessLimits, run
from repertoire.notation.order.printed_order import check_engraves, verovio_order
from repertoire.notation.read.canonical import canonical_tree
from repertoire.notation.read.file_kind import Kind, kind_of
from repertoire.notation.read.other_formats import to_musicxml
from repertoire.notation.read.parts import PartChoice, SeveralParts, choices_in
from repertoire.notation.read.safety import (
    DEFAULT_LIMITS,
    Limits,
    parse,
    score_bytes,
)
from repertoire.notation.read.score_json import from_json
from repertoire.notation.read.tree_to_score import score_of
from repertoire.notation.score import BadScore, Score
from repertoire.notation.sentence import Sentence
from repertoire.notation.sentence import from_json as sentence_from_json
from repertoire.notation.xml import parse_trusted, to_text

TIMEOUT_S = 8.0  # with starting the child and reading its answer an upload is answered within 10 s
MEMORY_MB = 500
NAMED_BARS = 8
SAME_LENGTH_Q = 1e-3
SENTENCES = {
    Ending.TOO_LONG: messages.TOO_SLOW,
    Ending.OUT_OF_MEMORY: messages.TOO_HEAVY,
    Ending.KILLED: messages.READING_STOPPED,
    Ending.CRASHED: messages.CONTRADICTORY,  # Verovio's, on a coda inside an ending inside its own repeat
}


@dataclass(frozen=True, slots=True)
class CanonicalScore:
    """The MusicXML to store, draw and analyse, and what it says."""

    musicxml: str
    score: Score
    remarks: tuple[Sentence, ...] = ()  # what a person should know of how it was made from another format


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
    remarks: tuple[Sentence, ...] = ()
    if kind is not Kind.MUSICXML:
        data, remarks = to_musicxml(data, kind, limits)
    root = parse(score_bytes(data, limits), limits)
    if ask and part is None and choice is None:
        choices = choices_in(root)
        if len(choices) > 1:
            raise SeveralParts(choices)
    tree = canonical_tree(root, limits, part, choice)
    score = score_of(tree)
    _check_played(score, limits)
    check_engraves(tree)
    if kind is not Kind.MUSICXML:
        remarks += uneven_bars(tree, score)
    return CanonicalScore(musicxml=to_text(tree), score=score, remarks=remarks)


def _check_played(score: Score, limits: Limits) -> None:
    """Repeats within repeats can make a small file play for ever."""
    notes_in = Counter(note.measure_index for note in score.notes)
    if sum(notes_in[index] for index in score.order) > limits.played_notes:
        raise BadScore(messages.PLAYED_MANY_NOTES(limit=limits.played_notes))


def uneven_bars(tree: Element, score: Score) -> tuple[Sentence, ...]:
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
    code = messages.MANY_UNEVEN_BARS if len(odd) > NAMED_BARS else messages.UNEVEN_BARS
    return (code(bars=", ".join(odd[:NAMED_BARS])),)


def load_canonical(musicxml: str) -> Score:
    """The `Score` of a stored canonical MusicXML, whose ids are already there."""
    tree = parse_trusted(musicxml)
    try:
        return score_of(tree)
    except (
        BadScore
    ):  # kept when contradicting signs were not refused yet; it was confirmed as Verovio reads it
        order = verovio_order(tree)
        return score_of(tree, orders=(order, tuple(dict.fromkeys(order))))


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
    """`read_score` in a process limited to `timeout_s` seconds and `memory_mb` MB of address space.

    What it read comes back whole: nothing of the score is parsed in this process.
    """
    wanted = json.dumps({"part": part, "choice": choice, "ask": ask})
    limits = ProcessLimits(time_s=timeout_s, memory_mb=memory_mb)
    ended = run("repertoire.notation.read.child", wanted, data=data, limits=limits)
    if ended.how is Ending.CRASHED and ended.exit_code > 0:
        raise RuntimeError(f"the score reader failed: {ended}")
    if ended.how is not Ending.FINISHED:
        raise BadScore(SENTENCES[ended.how]())
    answer = json.loads(ended.output)
    if "bad_score" in answer:
        raise BadScore(sentence_from_json(answer["bad_score"]))
    if "choices" in answer:
        raise SeveralParts(tuple(PartChoice(**found) for found in answer["choices"]))
    return CanonicalScore(
        musicxml=answer["musicxml"],
        score=from_json(answer["score"]),
        remarks=tuple(sentence_from_json(remark) for remark in answer["remarks"]),
    )
