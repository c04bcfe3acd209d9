"""What a page answers whose music is still being drawn, or cannot be drawn."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from repertoire.show.aside import CannotBeDrawn, DrawingLater
from studio.setup.outage import being_drawn


class LongMusic:
    """A page that asks again by itself while its music is drawn; a sentence where that fails."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, DrawingLater):
            return being_drawn(request)
        if isinstance(exception, CannotBeDrawn):
            return render(request, "not_drawn.html", status=422)
        return None
