from django.http import HttpRequest

from studio.models import Studio


def studio(request: HttpRequest) -> dict:
    return {"studio": getattr(request, "studio", None) or Studio.current()}
