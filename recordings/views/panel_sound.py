from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from recordings.panels.access import sheet_or_404
from recordings.panels.sounds import MEDIA_TYPE
from recordings.upload.range_bytes import sound_answer
from studio.request import SignedInRequest


@require_safe
@login_required
def panel_sound(request: SignedInRequest, pk: int, code: str) -> HttpResponseBase:
    """The copy of a take that tells nothing but the playing, or one range of it, while the panel is open.

    No tag of the content (ETag) is given: it would be the same for everyone and every time, and so a name.
    """
    panel, sheet = sheet_or_404(request.user, pk, code)
    take = sheet.panel_take
    if not panel.is_open or not take.is_ready:
        raise Http404
    return sound_answer(request, take.sound, size=take.size, media_type=MEDIA_TYPE)
