"""What a teacher's page sends, as a form's fields or as JSON, checked field by field.

Nothing typed is refused as a whole: what is right is kept as a ReviewText, what is not
goes into `errors` by field name, and the page keeps showing what was typed.
"""

import json
import math
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict

from recordings.models import Remark, Review
from recordings.models.remark import LONGEST_BARS
from recordings.reviews.save import RemarkText, ReviewText
from recordings.reviews.typed import kept_text, typed_mark

# As many as the page lets a person add, and as long as its fields let a person type.
MOST_REMARKS = 100
LONGEST_TEXT = 20_000
LATEST_S = 4 * 3600.0


class ReviewForm:
    """`typed_words` and `typed_marks` are as they came in, so that a page can show them again."""

    def __init__(self, review: Review, data: dict) -> None:
        self.review = review
        self.errors: dict[str, str] = {}
        self.edition = whole_number(data.get("edition"))
        self.window = _text(data.get("window"))[:36]
        self.typed_words = _text(data.get("words"))
        self.typed_marks = _mapping(data.get("marks"))
        self.remarks = tuple(self._remark(sent) for sent in _listing(data.get("remarks"))[:MOST_REMARKS])
        if self.edition is None:
            self._fill_up(has_words="words" in data)
        self.text = ReviewText(words=self.typed_words, marks=self._marks(), remarks=self.remarks)

    @classmethod
    def from_post(cls, review: Review, post: QueryDict) -> "ReviewForm":
        marks = {key.removeprefix("mark-"): post[key] for key in post if key.startswith("mark-")}
        remarks = []
        for key in post.getlist("remark"):
            fields = ("id", "text", "bars", "start_s", "end_s", "place", "verdict")
            remark: dict[str, Any] = {field: post.get(f"remark-{key}-{field}", "") for field in fields}
            remarks.append(remark)
        remarks.sort(key=lambda remark: _seconds(remark["place"]) or 0.0)
        return cls(review, {**post.dict(), "marks": marks, "remarks": remarks})

    @classmethod
    def from_json(cls, review: Review, body: bytes) -> "ReviewForm":
        """Raises ValueError where `body` is no JSON."""
        try:
            data = json.loads(body)
        except RecursionError as error:
            raise ValueError("nested too deeply") from error
        return cls(review, _mapping(data))

    @property
    def known_edition(self) -> int:
        """The edition it was typed on; raises ValueError where none was sent."""
        if self.edition is None:
            raise ValueError("no edition")
        return self.edition

    @property
    def sent_unchanged(self) -> bool:
        """Whether the stored review already says exactly this."""
        values = {mark.caption_id: mark.value for mark in self.review.marks.all()}
        same_marks = all(values[caption] == value for caption, value in self.text.marks.items())
        return self.review.words == self.text.words and same_marks and self._stored_remarks == self.remarks

    def _fill_up(self, *, has_words: bool) -> None:
        """Show as stored what was not sent: such a form did not come whole from the review page."""
        if not has_words:
            self.typed_words = self.review.words
        self.remarks = self.remarks or self._stored_remarks

    @property
    def _stored_remarks(self) -> tuple[RemarkText, ...]:
        return tuple(RemarkText.of(remark) for remark in self.review.remarks.all())

    def _marks(self) -> dict[int, Decimal | None]:
        marks: dict[int, Decimal | None] = {}
        for mark in self.review.marks.select_related("caption"):
            typed = self.typed_marks.get(str(mark.caption_id))
            if typed is None:
                continue
            try:
                value = typed_mark(str(typed))
                if value is not None:
                    mark.caption.check_mark(value)
                marks[mark.caption_id] = value
            except ValidationError as trouble:
                self.errors[f"mark-{mark.caption_id}"] = trouble.messages[0]
        return marks

    @staticmethod
    def _remark(sent: object) -> RemarkText:
        given = _mapping(sent)
        # one tap on the page: "kept", "dropped", or "wrong:" and the reason
        verdict, _colon, reason = _text(given.get("verdict")).partition(":")
        start_s, end_s = _seconds(given.get("start_s")), _seconds(given.get("end_s"))
        if start_s is not None and end_s is not None and end_s < start_s:
            end_s = None
        return RemarkText(
            text=_text(given.get("text")),
            bars=_text(given.get("bars")).strip()[:LONGEST_BARS],
            start_s=start_s,
            end_s=end_s,
            verdict=_one_of(verdict, Remark.Verdict.values) or Remark.Verdict.PROPOSED,
            wrong_reason=_one_of(reason, Remark.Wrong.values),
            pk=whole_number(given.get("id")),
        )


def _one_of(sent: str, values: list[str]) -> str:
    return sent if sent in values else ""


def _text(value: object) -> str:
    return kept_text(str(value or ""))[:LONGEST_TEXT]


def whole_number(value: object) -> int | None:
    """`value` as an integer, or None where it is not one."""
    try:
        return int(str(value))
    except ValueError:
        return None


def _seconds(value: object) -> float | None:
    try:
        number = float(str(value))
    except ValueError:
        return None
    return number if math.isfinite(number) and 0 <= number <= LATEST_S else None


def _mapping(value: object) -> dict:
    return value if isinstance(value, dict) else {}


def _listing(value: object) -> list:
    return value if isinstance(value, list) else []
