import re

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.models import Remark, Take
from recordings.standing import cell_for
from recordings.views.take_progress import progress_of
from studio.access import may_upload_for

_NAMES_BARS = re.compile(r"\bbars?\b", re.IGNORECASE)


@require_safe
@login_required
def take_detail(request: HttpRequest, take_id: int) -> HttpResponse:
    """One take as the student sees it: the sound, how far the measuring is, and the released review."""
    take = take_or_404(request.user, take_id)
    context = {
        "take": take,
        "entry": take.entry,
        "requirement": take.requirement,
        "cell": cell_for(take.entry, take.requirement),
        "review": released_review(take),
        "may_upload": may_upload_for(request.user, take.entry.student),
        **progress_of(take, request.user),
    }
    return render(request, "recordings/take_detail.html", context)


def released_review(take: Take) -> dict | None:
    """Marks, words and kept remarks of a released review; None while there is none to be seen."""
    review = getattr(take, "review", None)
    if review is None or not review.is_released:
        return None
    return {
        "words": review.words,
        "reviewer": review.reviewer,
        "released_at": review.released_at,
        "marks": review.marks.select_related("caption"),
        "remarks": [(remark, _place(remark)) for remark in review.remarks.filter(kept=True)],
    }


def _place(remark: Remark) -> str:
    """The remark's bars in words, or nothing where it has none or its text names them itself."""
    if not remark.bars or _NAMES_BARS.search(remark.text):
        return ""
    single = remark.bars.isalnum()
    words = _("Bar %(bars)s") if single else _("Bars %(bars)s")
    return words % {"bars": remark.bars}
