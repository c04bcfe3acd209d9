"""One hostile take through the analysis, and what came out held against what may be said."""

import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from jsonschema import ValidationError

from recordings.analysis.analyse import AnalysisSettings, analyse
from recordings.analysis.document.contract import CaptionSpec, validate
from recordings.analysis.process.in_child import AnalysisFailed, analyse_file_in_child
from recordings.analysis.recording.decode import NotAudio, decode
from tests.accuracy.wording import in_words

from . import kinds, pieces
from .kinds import OTHER, PIECE, REFUSED, Kind
from .pieces import PIECES, Piece

MEASURED = ("intonation", "rhythm", "tempo", "accuracy", "ear")
CAPTIONS = tuple(CaptionSpec(k, k, 0.0, 20.0, 0.5) for k in MEASURED)
PLAIN_WORDS = ("recording", "file", "sound", "take")  # every refusal speaks of one of these
CONFIDENT = 0.5
# what a cleanly played piece must not be told with certainty, whatever happened to its file
FAULTS = (
    "wrong_note", "missing_note", "restart", "hesitation", "uneven_run", "left_out", "began_late",
    "stopped_early", "repeat_left_out", "repeat_added", "tempo_slow", "tempo_fast", "transposed",
)  # fmt: skip
TECHNICAL = ("Traceback", "Error", "Exception", "numpy", "ffmpeg", "NaN", "None")


@dataclass(frozen=True)
class Verdict:
    """`said`: refused, other (not this piece) or piece. `troubles`: what must not be; empty is good."""

    kind: str
    seed: int
    wording: str
    sentence: str
    seconds: float
    troubles: tuple[str, ...]


def run(kind: Kind, seed: int, *, child: bool = False) -> Verdict:
    """Make and measure one take; whatever is raised beside a refusal is a trouble of its own."""
    rng = np.random.default_rng([seed, *kind.name.encode()])
    piece = pieces.piece(PIECES[seed % len(PIECES)])
    with TemporaryDirectory() as folder:
        path = kind.make(Path(folder), rng, piece)
        begun = time.monotonic()
        try:
            document = _in_child(path, piece) if child else _here(path, piece)
        except (AnalysisFailed, NotAudio) as refusal:
            return _refused(kind, seed, refusal, time.monotonic() - begun)
        except Exception as error:
            crash = f"crash: {type(error).__name__}: {error}"
            return Verdict(kind.name, seed, "crash", str(error), time.monotonic() - begun, (crash,))
        return _measured(kind, seed, document, time.monotonic() - begun)


def _settings(piece: Piece) -> AnalysisSettings:
    return AnalysisSettings(marked_bpm=piece.marked_bpm, beat_unit_q=piece.beat_unit_q)


def _here(path: Path, piece: Piece) -> dict:
    return analyse(decode(path), piece.form, _settings(piece), captions=CAPTIONS).to_json()


def _in_child(path: Path, piece: Piece) -> dict:
    options = {"with_repeats": False, "bars": list(piece.bars)}
    return analyse_file_in_child(path, piece.musicxml, options, _settings(piece), CAPTIONS, timeout_s=60)


def _refused(kind: Kind, seed: int, refusal: AnalysisFailed | NotAudio, seconds: float) -> Verdict:
    sentence = in_words(refusal.sentence)
    troubles = []
    if kind.expected == PIECE:
        troubles.append("refused, though the piece is there")
    if not sentence.endswith(".") or not any(word in sentence for word in PLAIN_WORDS):
        troubles.append("no plain sentence")
    if any(word in sentence for word in TECHNICAL) or "could not be measured" in sentence:
        troubles.append(f"not a sentence for a person: {getattr(refusal, 'details', '')[-300:]}")
    return Verdict(kind.name, seed, REFUSED, sentence, seconds, tuple(troubles))


def _measured(kind: Kind, seed: int, document: dict, seconds: float) -> Verdict:
    findings = document["findings"]
    unknown = bool(findings) and findings[0]["kind"] == "not_recognised"
    troubles = []
    try:
        validate(document)
    except ValidationError as error:
        troubles.append(f"no valid document: {error.message}")
    checks = {c["kind"]: c["verdict"] for c in document["recording"]["checks"]}
    if kind.check and checks[kind.check] == "fine":
        troubles.append(f"the {kind.check} is called fine")
    if kind.expected == REFUSED:
        troubles.append("measured, though there is nothing to measure")
    if kind.expected == OTHER and not unknown:
        troubles.append("taken for the piece")
    if kind.expected == PIECE and unknown:
        troubles.append("not recognised, though it is the piece")
    troubles += _wrong_claims(document) if unknown else _wrong_faults(kind, document)
    if kind.name == "one second" and any(mark["low"] is not None for mark in document["draft_marks"]):
        troubles.append("marks are drafted for one second")
    wording = OTHER if unknown else PIECE
    return Verdict(
        kind.name, seed, wording, in_words(findings[0]["text"]) if findings else "", seconds, tuple(troubles)
    )


def _wrong_claims(document: dict) -> list[str]:
    """What a document that does not know the piece must not hold."""
    troubles = []
    if any(mark["low"] is not None for mark in document["draft_marks"]):
        troubles.append("marks are drafted for what is not this piece")
    if len(document["findings"]) > 1:
        troubles.append("findings beside 'not recognised'")
    sure = sum(n["deviation_cents"] is not None and n["confidence"] >= CONFIDENT for n in document["notes"])
    if sure:
        troubles.append(f"cents with confidence for {sure} notes")
    return troubles


def _wrong_faults(kind: Kind, document: dict) -> list[str]:
    """The piece itself, cleanly played, must not be told wrong or missing notes with certainty."""
    if kind.expected != PIECE:
        return []
    sure = [f for f in document["findings"] if f["certainty"] == "sure"]
    reported = [in_words(f["text"]) for f in sure if f["kind"] in FAULTS]
    return [f"told with certainty: {text}" for text in reported]


def plan(count_per_kind: int) -> list[tuple[Kind, int]]:
    """Every kind with the seeds 0.., without speech where nobody can speak."""
    able = [k for k in kinds.KINDS.values() if k.name != "speech" or pieces.can_speak()]
    return [(k, seed) for k in able for seed in range(count_per_kind)]
