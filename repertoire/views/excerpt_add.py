from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.access import editors_only
from repertoire.forms.excerpt import ExcerptForm
from repertoire.uploads import takes_files
from repertoire.wording.words import words


@takes_files
@require_http_methods(["GET", "HEAD", "POST"])
@editors_only
def excerpt_add(request: HttpRequest) -> HttpResponse:
    form = ExcerptForm(request.POST, request.FILES) if request.method == "POST" else ExcerptForm()
    if form.is_bound and form.is_valid():
        excerpt, new = form.keep()
        if new:
            messages.success(request, _("“%(title)s” is in the library.") % {"title": excerpt.title})
        else:
            messages.info(request, _("This music was in the library already; here it is."))
        for remark in form.music.remarks:
            messages.warning(request, words(remark))
        return redirect("excerpt_detail", excerpt.pk)
    return render(request, "repertoire/excerpt_add.html", {"form": form})
