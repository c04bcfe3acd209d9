"""The mark of pages a device may keep for a time without network; how long, and for whom, `studio` says."""

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse

MARK = "Fairhearing-Offline"


def kept_offline(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """What is needed to practise and to record: never a sound, never a page of somebody else."""

    @wraps(view)
    def marked(request: HttpRequest, *args, **kwargs) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if response.status_code == 200:
            response[MARK] = "yes"
        return response

    return marked
