from django.http import HttpResponse
from django.shortcuts import render

from repertoire.paging import page_of
from studio.access import own_children, role_required
from studio.models import Role
from studio.request import SignedInRequest


@role_required(Role.GUARDIAN)
def my_children(request: SignedInRequest) -> HttpResponse:
    children = own_children(request.user).select_related("teacher")
    return render(
        request, "studio/my_children.html", {"page": page_of(request, children.with_account_facts())}
    )
