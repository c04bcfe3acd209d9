"""A page comes in: what it is by its content, cleaned, and kept in private storage."""

import io

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils.translation import gettext as _
from PIL import Image

from repertoire.library.page_child import DAMAGED, TOO_LARGE
from repertoire.models import Attachment, Excerpt
from repertoire.notation.bounded import Ending, ProcessLimits, run

MEGABYTE = 1024 * 1024
MOST_MB = 15
MOST_PAGES = 8
TIMEOUT_S = 10.0
MEMORY_MB = 500
PNG, JPEG, PDF = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"%PDF-"


def attach(excerpt: Excerpt, upload, *, by) -> Attachment:
    """Raises `ValidationError` with one sentence."""
    if upload.size > MOST_MB * MEGABYTE:
        raise ValidationError(
            _("The file is larger than %(megabytes)d MB; please send a smaller one.") % {"megabytes": MOST_MB}
        )
    data = upload.read()
    kind, clean = _checked(data)
    page = Attachment(excerpt=excerpt, kind=kind, size=len(clean), added_by=by)
    if page.is_picture:
        page.width_px, page.height_px = _size_of(clean)
    page.file.save("page", ContentFile(clean), save=False)
    try:
        with transaction.atomic():
            Excerpt.objects.select_for_update().get(pk=excerpt.pk)
            if excerpt.attachments.count() >= MOST_PAGES:
                raise ValidationError(
                    _("At most %(count)d pages can stand beside a piece; please remove one first.")
                    % {"count": MOST_PAGES}
                )
            page.save(force_insert=True)
    except Exception:
        page.file.delete(save=False)
        raise
    return page


def _checked(data: bytes) -> tuple[Attachment.Kind, bytes]:
    if data.startswith(PDF):
        if b"%%EOF" not in data[-2048:]:
            raise ValidationError(_("The PDF breaks off; please save it again."))
        return Attachment.Kind.PDF, data
    if data.startswith(PNG):
        return Attachment.Kind.PNG, _drawn_anew(data)
    if data.startswith(JPEG):
        return Attachment.Kind.JPEG, _drawn_anew(data)
    raise ValidationError(_("Please send a PDF, or a photo or picture as JPEG or PNG."))


def _drawn_anew(data: bytes) -> bytes:
    limits = ProcessLimits(time_s=TIMEOUT_S, memory_mb=MEMORY_MB)
    ended = run("repertoire.library.page_child", data=data, limits=limits)
    if ended.how is Ending.TOO_LONG:
        raise ValidationError(_("The picture took too long to open; please send a smaller one."))
    if ended.how is Ending.KILLED:
        raise ValidationError(_("Opening the picture was broken off; please send it once more."))
    verdict, _end, clean = ended.output.partition(b"\n")
    if ended.how is Ending.OUT_OF_MEMORY or verdict == TOO_LARGE:
        raise ValidationError(_("The picture has more than 50 million dots; please send a smaller one."))
    if ended.how is not Ending.FINISHED or verdict == DAMAGED:
        raise ValidationError(_("The picture is damaged and cannot be opened; please save it again."))
    return clean


def _size_of(clean: bytes) -> tuple[int, int]:
    """Width and height of a picture drawn by ourselves."""
    with Image.open(io.BytesIO(clean)) as picture:
        return picture.size
