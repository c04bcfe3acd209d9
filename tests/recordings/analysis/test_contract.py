"""The document holds to its schema, and the schema tells each field."""

import copy
import json

import pytest
from jsonschema import Draft202012Validator, ValidationError

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import VERSION, CaptionSpec, schema, validate
from recordings.wording.summary import summary
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, form, score, settings

pytestmark = pytest.mark.slow

PRINTED = score()
CAPTIONS = (
    CaptionSpec("ear-1", "Tone", 1, 10, 1),
    CaptionSpec("intonation", "Intonation", 1, 10, 1),
    CaptionSpec("rhythm", "Rhythm", 0, 5, 0.5),
    CaptionSpec("tempo", "Tempo", 1, 10, 1),
    CaptionSpec("accuracy", "Accuracy", 1, 10, 1),
)


def measured(player: Player, bars: int = 12) -> dict:
    sounded = player.play(PRINTED, tuple(range(bars)))
    seen: list[tuple[str, float]] = []
    analysis = analyse(
        player.render(sounded), form(PRINTED), settings(), captions=CAPTIONS,
        progress=lambda stage, share: seen.append((stage, share)),
    )  # fmt: skip
    assert [share for _, share in seen] == sorted(share for _, share in seen)
    return analysis.to_json()


@pytest.fixture(scope="module")
def document() -> dict:
    return measured(Player())


def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(schema())


def test_every_field_is_described():
    def walk(node: dict, path: str) -> list[str]:
        bare = []
        for name, child in node.get("properties", {}).items():
            if "description" not in child:
                bare.append(f"{path}.{name}")
            bare += walk(child, f"{path}.{name}") + walk(child.get("items", {}), f"{path}.{name}[]")
        return bare

    assert walk(schema(), "") == []


def test_the_document_is_plain_json_and_valid(document):
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert document["version"] == VERSION
    validate(document)


@pytest.mark.parametrize(
    "field", ["recording", "form", "notes", "tuning", "tempo", "findings", "draft_marks"]
)
def test_a_document_without_a_part_is_refused(document, field):
    broken = copy.deepcopy(document)
    del broken[field]
    with pytest.raises(ValidationError):
        validate(broken)


def test_a_made_up_status_is_refused(document):
    broken = copy.deepcopy(document)
    broken["notes"][0]["status"] = "nice"
    with pytest.raises(ValidationError, match="nice"):
        validate(broken)


def test_draft_marks_answer_the_captions_in_order(document):
    marks = document["draft_marks"]
    assert [m["caption"] for m in marks] == [c.key for c in CAPTIONS]
    assert marks[0]["low"] is None
    assert "ear" in words(marks[0]["evidence"])
    for mark, caption in zip(marks[1:], CAPTIONS[1:], strict=True):
        assert caption.low <= mark["low"] < mark["high"] <= caption.high
        assert words(mark["evidence"])


def test_clean_and_slow_is_drafted_above_untidy_at_the_mark():
    # common practice of judges, no published source
    slow = {m["caption"]: m for m in measured(Player(bpm=58.0))["draft_marks"]}
    off = {midi: 22.0 if midi % 2 else -20.0 for midi in range(60, 82)}
    untidy = Player(cents=off, wrong={"m1n3": 70, "m4n1": 67, "m6n2": 72, "m8n0": 65, "m10n1": 72})
    fast = {m["caption"]: m for m in measured(untidy)["draft_marks"]}
    for caption in ("intonation", "accuracy"):
        assert slow[caption]["low"] > fast[caption]["high"]


def test_nothing_heard_gives_no_mark():
    document = analyse(Player().render([]), form(PRINTED), settings(), captions=CAPTIONS).to_json()
    assert {m["low"] for m in document["draft_marks"]} == {None}


def test_the_summary_is_readable(document):
    text = summary(document)
    assert "Bars heard: 1-12" in text
    assert "Tuning: A = 440" in text
    assert "None" not in text


def _texts(part):
    if isinstance(part, dict):
        for value in part.values():
            yield from _texts(value)
    elif isinstance(part, list):
        for value in part:
            yield from _texts(value)
    elif isinstance(part, str):
        yield part


def test_a_document_holds_no_sentence(document):
    assert document["findings"]
    assert document["recording"]["checks"]
    assert not [text for text in _texts(document) if text.count(" ") > 2 or text.endswith((".", "?"))]
