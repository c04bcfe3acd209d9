"""An audition's rules for sending as a file another studio can read: JSON, our own form, versioned.

`{"holds": "rules for sending", "version": 1, "rules": {...}}`, the rules' fields those of
`studio.sending.rules.Rules`.
It never holds anything of the audition itself, of students or of the studio.
"""

import json
from dataclasses import asdict, dataclass, fields
from typing import Any

from django.utils.translation import gettext as _

from studio.sending.rules import Rules

HOLDS, VERSION = "rules for sending", 1
MOST_BYTES = 64 * 1024


class BadRulesFile(Exception):
    """The file cannot be read as rules; its text is a sentence for the person."""


@dataclass(frozen=True, slots=True)
class ReadRules:
    """Values by field, not yet judged, and the names of fields this version does not know."""

    values: dict[str, Any]
    unknown: tuple[str, ...]


def written(rules: Rules) -> str:
    """The same rules give the same text."""
    document = {"holds": HOLDS, "version": VERSION, "rules": asdict(rules)}
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def read(data: bytes) -> ReadRules:
    """Raises `BadRulesFile`."""
    if len(data) > MOST_BYTES:
        raise BadRulesFile(_("This file is too large to be a set of rules. Please choose another."))
    try:
        document = json.loads(data.decode("utf-8-sig"))
    except (ValueError, RecursionError) as error:
        raise BadRulesFile(_no_rules()) from error
    if not isinstance(document, dict) or document.get("holds") != HOLDS:
        raise BadRulesFile(_no_rules())
    if document.get("version") != VERSION:
        raise BadRulesFile(_("This file was made by another version of the program and cannot be read here."))
    rules = document.get("rules")
    if not isinstance(rules, dict):
        raise BadRulesFile(_no_rules())
    known = {field.name for field in fields(Rules)}
    unknown = tuple(sorted(str(name)[:40] for name in rules if name not in known))
    return ReadRules({name: value for name, value in rules.items() if name in known}, unknown)


def _no_rules() -> str:
    return _(
        "This file holds no rules for sending. Please choose the JSON file another studio has given you."
    )
