"""A `Score` as plain JSON values and back, so that it need not be read from its MusicXML a second time.

Bars, notes and marks are rows of their fields' values in the order of the dataclass; both ends are the same
version of this code, so nothing of this is ever stored.
"""

from dataclasses import fields
from typing import Any

from repertoire.notation.score import Dynamic, Hairpin, Measure, Note, Score, TempoMark

ROWS: dict[str, type] = {
    "measures": Measure,
    "notes": Note,
    "tempo_marks": TempoMark,
    "dynamics": Dynamic,
    "hairpins": Hairpin,
}
NAMES = {kind: tuple(field.name for field in fields(kind)) for kind in (Score, *ROWS.values())}


def to_json(score: Score) -> dict[str, Any]:
    """Field names to values of JSON."""
    values = {name: getattr(score, name) for name in NAMES[Score]}
    for name, kind in ROWS.items():
        values[name] = [[getattr(entry, field) for field in NAMES[kind]] for entry in values[name]]
    return values


def from_json(values: dict[str, Any]) -> Score:
    """The `Score` of `to_json`, equal to the first; raises `TypeError` for anything else."""
    frozen = {name: _frozen(value) for name, value in values.items()}
    for name, kind in ROWS.items():
        frozen[name] = tuple(kind(*row) for row in frozen[name])
    return Score(**frozen)


def _frozen(value: Any) -> Any:
    return tuple(_frozen(entry) for entry in value) if isinstance(value, list) else value
