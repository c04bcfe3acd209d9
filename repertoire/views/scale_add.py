from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.access import editors_only
from repertoire.forms.scale import ScaleForm


@require_http_methods(["GET", "HEAD", "POST"])
@editors_only
def scale_add(request: HttpRequest) -> HttpResponse:
    form = ScaleForm(request.POST) if request.method == "POST" else ScaleForm()
    if form.is_bound and form.is_valid():
        excerpt, new = form.keep()
        if new:
            messages.success(request, _("“%(title)s” is in the library.") % {"title": excerpt.title})
        else:
            messages.info(request, _("This scale sheet was in the library already; here it is."))
        return redirect("excerpt_detail", excerpt.pk)
    return render(request, "repertoire/scale_add.html", {"form": form})
