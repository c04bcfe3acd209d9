from django.contrib.auth.decorators import login_required
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.upload.range_bytes import sound_answer


@require_safe
@login_required
def take_sound(request: HttpRequest, take_id: int) -> HttpResponseBase:
    """The bytes of a take, whole or one range of them, after the same permission check every time."""
    take = take_or_404(request.user, take_id)
    return sound_answer(
        request,
        take.sound,
        size=take.size,
        media_type=take.media_type,
        name=f"take-{take.pk}",
        etag=f'"{take.sha256}"',
    )
