from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from repertoire.uploads import takes_files
from studio.access import role_required
from studio.forms.sending_rules import RulesFileForm, SendingRulesForm
from studio.models import Audition, Role, SendingRules
from studio.services.sending_rules_file import written


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.DIRECTOR)
def sending_rules(request: HttpRequest, pk: int) -> HttpResponse:
    """What the body of this audition asks of what is sent to it."""
    rules = _rules_of(pk)
    form = SendingRulesForm(request.POST if request.method == "POST" else None, instance=rules)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("The rules are saved."))
        return redirect("audition_detail", pk)
    return _page(request, rules.audition, form)


@takes_files
@require_POST
@role_required(Role.DIRECTOR)
def sending_rules_read(request: HttpRequest, pk: int) -> HttpResponse:
    """Rules from a file, laid into the form; only that form's button saves them."""
    rules = _rules_of(pk)
    file = RulesFileForm(request.POST, request.FILES)
    if not file.is_valid():
        return _page(request, rules.audition, SendingRulesForm(instance=rules), file)
    found = file.cleaned_data["file"]
    form = SendingRulesForm.with_values(found.values, rules)
    return _page(request, rules.audition, form, was_read=True, unknown=found.unknown)


@require_safe
@role_required(Role.DIRECTOR)
def sending_rules_file(_request: HttpRequest, pk: int) -> HttpResponse:
    rules = get_object_or_404(SendingRules, audition=pk)
    response = HttpResponse(written(rules.rules), content_type="application/json")
    response["Content-Disposition"] = 'attachment; filename="sending-rules.json"'
    return response


def _rules_of(pk: int) -> SendingRules:
    """Those of the audition, or new ones."""
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    return SendingRules.objects.filter(audition=audition).select_related("audition").first() or SendingRules(
        audition=audition
    )


def _page(
    request: HttpRequest, audition: Audition, form: SendingRulesForm, file=None, **more
) -> HttpResponse:
    context = {"audition": audition, "form": form, "file": file or RulesFileForm(), **more}
    return render(request, "studio/sending_rules.html", context)
