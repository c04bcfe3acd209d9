from django.http import HttpResponse
from django.shortcuts import render

from recordings.readiness.children import children_of
from repertoire.paging import page_of
from studio.access import own_children, role_required
from studio.models import Role
from studio.request import SignedInRequest


@role_required(Role.GUARDIAN)
def my_children(request: SignedInRequest) -> HttpResponse:
    children = own_children(request.user).select_related("teacher").with_account_facts()
    page = page_of(request, children)
    context = {"page": page, "children": children_of(list(page))}
    return render(request, "recordings/my_children.html", context)
