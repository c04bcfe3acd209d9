"""Music for another studio, and music from one."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_cache_control
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from repertoire.access import editors_only, excerpt_or_404, require_editor
from repertoire.forms.sharing import ImportForm, ShareForm
from repertoire.library.importing import ImportedFolder, import_folder
from repertoire.library.sharing import folder_name, shared_zip
from repertoire.notation.score import BadScore
from repertoire.uploads import takes_files
from repertoire.wording.words import words


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def excerpt_share(request: HttpRequest, pk: int) -> HttpResponse:
    """Download the music, its notes and by choice a marking form as one folder."""
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    form = ShareForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        data = shared_zip(
            excerpt, rubric=form.cleaned_data["rubric"], with_authors=form.cleaned_data["with_authors"]
        )
        name = f'attachment; filename="{folder_name(excerpt)}.zip"'
        response = HttpResponse(data, content_type="application/zip", headers={"Content-Disposition": name})
        patch_cache_control(response, private=True)
        return response
    return render(request, "repertoire/excerpt_share.html", {"form": form, "excerpt": excerpt})


@takes_files
@require_http_methods(["GET", "HEAD", "POST"])
@editors_only
def excerpt_import(request: HttpRequest) -> HttpResponse:
    form = ImportForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            imported = import_folder(form.cleaned_data["file"].read(), request.user)
        except BadScore as error:
            form.add_error("file", words(error.sentence))
        else:
            for sentence in listed(imported):
                messages.success(request, sentence)
            return redirect("excerpt_detail", imported.excerpt.pk)
    return render(request, "repertoire/excerpt_import.html", {"form": form})


def listed(imported: ImportedFolder) -> list[str]:
    """What was taken, one sentence a thing."""
    title = {"title": imported.excerpt.title}
    if imported.music_is_new:
        sentence = [_("“%(title)s” is in the library now.") % title]
    else:
        sentence = [_("“%(title)s” was in the library already and stays as it is.") % title]
    new = {"n": imported.notes_new}
    sentence.append(
        ngettext("%(n)d bar note was taken.", "%(n)d bar notes were taken.", imported.notes_new) % new
    )
    if imported.notes_known:
        sentence.append(_("Bar notes already here: %(n)d.") % {"n": imported.notes_known})
    if imported.rubric is not None:
        words = (
            _("The marking form “%(name)s” was taken.")
            if imported.rubric_is_new
            else _("The marking form “%(name)s” was here already.")
        )
        sentence.append(words % {"name": imported.rubric.name})
    if imported.order_differs:
        sentence.append(_("The order of play is read otherwise here than in the folder; please check it."))
    return sentence
