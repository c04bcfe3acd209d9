import logging

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from recordings.access import entry_to_teach
from recordings.models import Bundle
from recordings.sending.bundle_queue import ask_for
from recordings.sending.page import entry_context
from studio.models import Event
from studio.request import SignedInRequest
from studio.services.events import record

log = logging.getLogger(__name__)


@require_POST
@login_required
def entry_files_make(request: SignedInRequest, entry_id: int) -> HttpResponse:
    entry = entry_to_teach(request.user, entry_id)
    if not entry.student.may_record:
        raise PermissionDenied(_("No guardian has agreed to the recordings, so no files can be made."))
    ask_for(entry, request.user)
    return redirect("entry_sending", entry.pk)


@require_safe
@login_required
def entry_files_progress(request: SignedInRequest, entry_id: int) -> HttpResponse:
    """The part of the page that is asked for again until the files are made."""
    entry = entry_to_teach(request.user, entry_id)
    return render(request, "recordings/_entry_files.html", entry_context(request.user, entry))


@require_safe
@login_required
def entry_files(request: SignedInRequest, entry_id: int) -> HttpResponseBase:
    """All files with list and checksums; only while a guardian's agreement stands."""
    entry = entry_to_teach(request.user, entry_id)
    bundle = get_object_or_404(Bundle, entry=entry, state=Bundle.State.DONE)
    if not entry.student.may_record:
        raise PermissionDenied(_("No guardian has agreed to the recordings, so no files can be taken out."))
    try:
        file = bundle.file.open("rb")
    except FileNotFoundError as missing:
        raise Http404 from missing
    log.info("The files of entry %s were taken out by user %s.", entry.pk, request.user.pk)
    record(Event.Kind.EXPORTED, entry)
    response = FileResponse(file, content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="entry-{entry.pk}.zip"'
    response["Cache-Control"] = "private, no-store"
    return response
