from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from studio.services.content_reports import MOST_BYTES, keep_report


@csrf_exempt
@require_POST
def content_reports(request: HttpRequest) -> HttpResponse:
    """Browsers send what the policy blocked; nothing they send changes anything but a number."""
    announced = request.META.get("CONTENT_LENGTH") or "0"
    if not announced.isdecimal() or int(announced) > MOST_BYTES:
        return HttpResponse(status=413)
    keep_report(request.read(MOST_BYTES))
    return HttpResponse(status=204)
