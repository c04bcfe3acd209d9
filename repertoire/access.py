"""Who may see and change the music; the rules themselves come from the project by name (see settings)."""

from collections.abc import Callable
from functools import wraps

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.module_loading import import_string

from repertoire.models import BarNote, Excerpt, ExcerptQuerySet, Rubric


def visible_excerpts(user) -> ExcerptQuerySet:
    return import_string(settings.EXCERPT_VISIBILITY)(user)


def may_edit(user) -> bool:
    return import_string(settings.REPERTOIRE_EDITORS)(user)


def excerpt_or_404(user, pk: int) -> Excerpt:
    return get_object_or_404(visible_excerpts(user), pk=pk)


def rubric_or_404(user, pk: int) -> Rubric:
    """Marking forms are the staff's; to anyone else they do not exist."""
    if not user.is_staff:
        raise Http404
    return get_object_or_404(Rubric, pk=pk)


def bar_note_or_404(user, pk: int) -> BarNote:
    notes = BarNote.objects.filter(excerpt__in=visible_excerpts(user)).select_related("excerpt")
    return get_object_or_404(notes, pk=pk)


def may_annotate(user) -> bool:
    """Directors and teachers write at the bars of any music."""
    return user.is_staff


def may_change_note(user, note: BarNote) -> bool:
    return may_edit(user) or (may_annotate(user) and note.author_id == user.pk)


def require_annotator(user) -> None:
    if not may_annotate(user):
        raise PermissionDenied


def require_author(user, note: BarNote) -> None:
    """A note is changed by who wrote it, and by whoever keeps the library."""
    if not may_change_note(user, note):
        raise PermissionDenied


def require_editor(user) -> None:
    """Raise 403; called after the object was found, so that strangers still get their 404."""
    if not may_edit(user):
        raise PermissionDenied


def editors_only(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """For pages that make something new: signed in, and allowed to change the repertoire."""

    @login_required
    @wraps(view)
    def guarded(request: HttpRequest, *args, **kwargs) -> HttpResponse:
        require_editor(request.user)
        return view(request, *args, **kwargs)

    return guarded


def staff_only(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    @login_required
    @wraps(view)
    def guarded(request: HttpRequest, *args, **kwargs) -> HttpResponse:
        if not request.user.is_staff:
            raise PermissionDenied
        return view(request, *args, **kwargs)

    return guarded
