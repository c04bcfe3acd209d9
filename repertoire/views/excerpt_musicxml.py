from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from repertoire.access import excerpt_or_404


@require_safe
@login_required
def excerpt_musicxml(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    name = slugify(excerpt.title) or f"music-{excerpt.pk}"
    response = HttpResponse(
        excerpt.musicxml,
        content_type="application/vnd.recordare.musicxml+xml",
        headers={"Content-Disposition": f'attachment; filename="{name}.musicxml"'},
    )
    patch_cache_control(response, private=True)
    return response
