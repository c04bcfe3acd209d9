from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import patch_cache_control
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from repertoire.access import excerpt_or_404, require_editor
from repertoire.forms.attachment import AttachmentForm
from repertoire.models import Attachment
from repertoire.uploads import takes_files

ENDINGS = {Attachment.Kind.PDF: "pdf", Attachment.Kind.JPEG: "jpg", Attachment.Kind.PNG: "png"}


@takes_files
@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def excerpt_pages(request: HttpRequest, pk: int) -> HttpResponse:
    """The printed pages beside a piece: what there is, another one, one less."""
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    form = AttachmentForm(request.POST, request.FILES) if request.method == "POST" else AttachmentForm()
    if form.is_bound and form.attach_to(excerpt, request.user):
        messages.success(request, _("The page stands beside the music now."))
        return redirect("excerpt_pages", excerpt.pk)
    context = {"form": form, "excerpt": excerpt, "pages": excerpt.attachments.all()}
    return render(request, "repertoire/excerpt_pages.html", context)


@require_POST
@login_required
def excerpt_page_remove(request: HttpRequest, pk: int, page: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    excerpt.attachments.filter(pk=page).delete()
    messages.success(request, _("The page is removed."))
    return redirect("excerpt_pages", excerpt.pk)


@require_safe
@login_required
def excerpt_page(request: HttpRequest, pk: int, page: int) -> FileResponse:
    """The bytes, to whoever may see the music; a PDF as a download, since a page could run what is in it."""
    excerpt = excerpt_or_404(request.user, pk)
    kept = get_object_or_404(Attachment, pk=page, excerpt=excerpt)
    try:
        file = kept.file.open("rb")
    except FileNotFoundError as missing:
        raise Http404 from missing
    name = f"{slugify(excerpt.title) or 'music'}-{kept.pk}.{ENDINGS[Attachment.Kind(kept.kind)]}"
    response = FileResponse(file, as_attachment=not kept.is_picture, filename=name, content_type=kept.kind)
    response["Content-Length"] = str(kept.size)
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "sandbox; default-src 'none'"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    patch_cache_control(response, private=True, no_cache=True)
    return response
