from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache

from recordings.health import look


@never_cache
def healthz(request: HttpRequest) -> JsonResponse:
    report = look()
    return JsonResponse(report, status=200 if report["ok"] else 503)
