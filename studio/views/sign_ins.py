from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from repertoire.paging import page_of
from studio.request import SignedInRequest
from studio.services.sign_ins import end_sign_in, end_sign_ins, sign_ins_of


@require_safe
@login_required
def sign_ins(request: SignedInRequest) -> HttpResponse:
    """Every device on which the person is signed in."""
    found = sign_ins_of(request.user, this=request.session.session_key)
    return render(request, "studio/sign_ins.html", {"page": page_of(request, found), "count": len(found)})


@require_POST
@login_required
def sign_in_end(request: SignedInRequest) -> HttpResponse:
    """One of them by its `mark`, or all others."""
    if mark := request.POST.get("mark"):
        if end_sign_in(request.user, mark):
            messages.success(request, _("That device is signed out."))
    else:
        count = end_sign_ins(request.user, but=request.session.session_key)
        said = ngettext("%d other device is signed out.", "%d other devices are signed out.", count)
        messages.success(request, said % count)
    return redirect("sign_ins")
