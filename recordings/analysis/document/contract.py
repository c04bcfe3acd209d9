"""The analysis as frozen data and as the versioned JSON document others rely on.

`schema.json` beside this file describes every field with its unit; `validate` holds each document to it.
"""

import json
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from jsonschema import Draft202012Validator

from recordings.analysis.corrections import Outcome
from recordings.analysis.follow.matched import MatchedBar, MatchedForm
from recordings.analysis.follow.note_result import ExtraNote, NoteResult
from recordings.analysis.measure.articulation import Articulation
from recordings.analysis.measure.measured import Measured
from recordings.analysis.measure.tone import Tone
from recordings.analysis.recording.checks import Recording
from recordings.analysis.settings import AnalysisSettings
from recordings.analysis.tell.draft_marks import CaptionSpec, DraftMark
from recordings.analysis.tell.finding import Finding

__all__ = ["VERSION", "Analysis", "AnalysisSettings", "CaptionSpec", "Measured", "schema", "validate"]

VERSION = "2.1"
SCHEMA_PATH = Path(__file__).with_name("schema.json")


@dataclass(frozen=True, slots=True)
class Analysis:
    """One take against one printed form."""

    settings: AnalysisSettings
    recording: Recording
    played: MatchedForm
    form_text: str
    left_out: tuple[str, ...]
    measured: Measured
    extra_notes: tuple[ExtraNote, ...]
    tone: Tone
    findings: tuple[Finding, ...]
    draft_marks: tuple[DraftMark, ...]
    corrections: tuple[Outcome, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The contract's document, valid against the schema. Raises jsonschema's error when it is not."""
        document = _plain(self._document())
        validate(document)
        return document

    def _document(self) -> dict[str, Any]:
        m = self.measured
        return {
            "version": VERSION,
            "settings": asdict(self.settings),
            "recording": asdict(self.recording),
            "form": self._form(),
            "bars": [_bar(b) for b in self.played.bars],
            "tuning": asdict(m.tuning),
            "intonation": asdict(m.intonation),
            "tempo": {**asdict(m.tempo), "bars": [_pass(asdict(b)) for b in m.tempo.bars]},
            "rhythm": asdict(m.rhythm),
            "dynamics": asdict(m.dynamics),
            "articulation": _lengths(m.articulation),
            "tone": asdict(self.tone),
            "notes": [_note(n) for n in m.notes],
            "extra_notes": [asdict(n) for n in self.extra_notes],
            "findings": [asdict(f) for f in self.findings],
            "draft_marks": [asdict(d) for d in self.draft_marks],
            "corrections": [_pass(asdict(c)) for c in self.corrections],
        }

    def _form(self) -> dict[str, Any]:
        bars, m = self.played.bars, self.measured
        return {
            "bars_played": [b.bar for b in bars],
            "text": self.form_text,
            "share_played": m.share_played,
            "note_count": m.note_count,
            "wrong_count": m.wrong_count,
            "missing_count": m.missing_count,
            "left_out": list(self.left_out),
            "restarts": [asdict(r) for r in self.played.restarts],
            "repeats": asdict(self.played.repeats),
            "complete": self.played.complete,
            "began_bar": bars[0].bar if bars else None,
            "ended_bar": bars[-1].bar if bars else None,
        }


def _pass(document: dict[str, Any]) -> dict[str, Any]:
    document["pass"] = document.pop("pass_number")
    return document


def _bar(bar: MatchedBar) -> dict[str, Any]:
    return {
        "position": bar.position, "measure_id": bar.measure_id, "bar": bar.bar, "pass": bar.pass_number,
        "start_s": bar.start_s, "end_s": bar.end_s, "attempt_left": bar.attempt_left,
    }  # fmt: skip


def _note(note: NoteResult) -> dict[str, Any]:
    document = _pass(asdict(note))
    for private in ("form_index", "start_q", "fifths", "cents_from_printed", "onset_blur_s", "evidence"):
        del document[private]
    return document


def _lengths(articulation: Articulation) -> dict[str, Any]:
    document = asdict(articulation)
    document["notes"] = [_pass(n) for n in document["notes"]]
    return document


def _plain(value: Any) -> Any:
    """Numbers JSON knows, rounded to four places; NaN and infinity become null."""
    if isinstance(value, dict):
        return {key: _plain(v) for key, v in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float):
        return round(value, 4) if np.isfinite(value) else None
    return value


@cache
def schema() -> dict[str, Any]:
    """The JSON schema of an analysis document."""
    return json.loads(SCHEMA_PATH.read_text(encoding="utf-8"))


@cache
def _validator() -> Draft202012Validator:
    return Draft202012Validator(schema())


def validate(document: dict[str, Any]) -> None:
    """Raise `jsonschema.ValidationError` when the document breaks the contract."""
    _validator().validate(document)
