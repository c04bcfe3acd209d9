from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from repertoire.access import editors_only
from repertoire.forms.scale_set import ScaleSetForm
from repertoire.models import Excerpt


@require_http_methods(["GET", "HEAD", "POST"])
@editors_only
def scale_set_add(request: HttpRequest) -> HttpResponse:
    form = ScaleSetForm(request.POST) if request.method == "POST" else ScaleSetForm()
    if form.is_bound and form.is_valid():
        messages.success(request, form.keep())
        wanted = {"instrument": form.cleaned_data["instrument"], "kind": Excerpt.Kind.SCALE}
        return redirect(f"{reverse('excerpt_list')}?{urlencode(wanted)}")
    return render(request, "repertoire/scale_set_add.html", {"form": form})
