"""What a listener's page sends: marks by the form's steps and a remark, each kept as far as it is right."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import QueryDict
from django.utils import timezone

from recordings.models import Panel, PanelMark, PanelSheet
from recordings.reviews.typed import kept_text, typed_mark
from repertoire.models import Caption
from repertoire.notation import numerals

LONGEST_REMARK = 4000


class PanelClosed(Exception):
    """Nothing is written after the closing."""


class SheetForm:
    """One page's fields: `typed` as they came in, so that they can be shown again, `errors` by caption id."""

    def __init__(self, sheet: PanelSheet, captions: list[Caption], post: QueryDict | None = None) -> None:
        self.sheet, self.captions = sheet, captions
        self.errors: dict[int, str] = {}
        self.marks: dict[int, Decimal | None] = {}
        self.typed: dict[int, str] = {}
        self.remark = sheet.remark
        if post is not None:
            self._read(post)

    def _read(self, post: QueryDict) -> None:
        self.remark = kept_text(post.get("remark", self.remark))[:LONGEST_REMARK]
        for caption in self.captions:
            name = f"mark-{caption.pk}"
            if name in post:
                self.typed[caption.pk] = post.get(name, "").strip()
                self._read_mark(caption, self.typed[caption.pk])

    def _read_mark(self, caption: Caption, typed: str) -> None:
        try:
            self.marks[caption.pk] = typed_mark(typed)
            if typed:
                caption.check_mark(self.marks[caption.pk])
        except ValidationError as error:
            self.marks.pop(caption.pk, None)
            self.errors[caption.pk] = " ".join(error.messages)

    def save(self, panel: Panel) -> None:
        """Keep what is right of it; raises PanelClosed where the panel was closed in the meantime."""
        with transaction.atomic():
            # Writing the row, unchanged, holds it: no closing comes between.
            if not Panel.objects.open().filter(pk=panel.pk).update(name=panel.name):
                raise PanelClosed
            now = timezone.now()
            PanelSheet.objects.filter(pk=self.sheet.pk).update(remark=self.remark, saved_at=now)
            for caption_id, value in self.marks.items():
                self._keep(caption_id, value)
        self.sheet.remark, self.sheet.saved_at = self.remark, now

    def _keep(self, caption_id: int, value: Decimal | None) -> None:
        if value is None:
            PanelMark.objects.filter(sheet=self.sheet, caption=caption_id).delete()
        else:
            PanelMark.objects.update_or_create(
                sheet=self.sheet, caption_id=caption_id, defaults={"value": value}
            )

    @property
    def fields(self) -> list[dict]:
        """A line for each caption, as the page draws it."""
        kept = self.sheet.values
        return [
            {
                "caption": caption,
                "name": f"mark-{caption.pk}",
                "value": self.typed.get(caption.pk) or _as_typed(kept.get(caption.pk)),
                "error": self.errors.get(caption.pk, ""),
            }
            for caption in self.captions
        ]


def _as_typed(mark: Decimal | None) -> str:
    return "" if mark is None else numerals.plain_number(mark)


def state_of(sheet: PanelSheet, caption_count: int) -> str:
    """`done`, `begun` or `open`."""
    count = len(sheet.marks.all())
    if count >= caption_count:
        return "done"
    return "begun" if count or sheet.remark else "open"
