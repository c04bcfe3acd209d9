"""Where the studio asks its staff for a second factor, who has none yet sets it up before anything else."""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from studio.asked_again import has_second_factor
from studio.setup.middleware import asks_for_other

# Pages that help with it, or are for everybody.
FREE = {
    *("account", "content_reports", "healthz", "invitation", "privacy", "sign_ins", "sign_in_end"),
    *("app_manifest", "offline_files", "offline_page", "offline_worker"),
}


class SetUpFirst:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable, args, kwargs) -> HttpResponse | None:
        if not asks_for_other(request, FREE) or not _is_missing(request):
            return None
        if request.method not in ("GET", "HEAD"):
            # Not led away: what was typed stays in the window that sent it.
            raise PermissionDenied(
                _("The studio asks for a second factor. Set it up in another window, then send this again.")
            )
        messages.info(request, _("The studio asks its staff for a second factor. It takes two minutes."))
        return redirect("mfa_activate_totp")


def _is_missing(request: HttpRequest) -> bool:
    studio = vars(request).get("studio")
    if studio is None or not studio.second_factor_required or not request.user.is_staff:
        return False
    return not has_second_factor(request.user)
