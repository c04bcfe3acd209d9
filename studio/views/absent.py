from django.http import Http404, HttpRequest, HttpResponse


def absent(request: HttpRequest, rest: str = "") -> HttpResponse:
    raise Http404
