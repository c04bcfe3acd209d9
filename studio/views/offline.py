"""What a browser needs to open pages without network, and to set the studio among a device's programs."""

from functools import cache
from pathlib import Path

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from studio.setup.offline import files_to_keep

WORKER = Path(__file__).parents[1] / "static" / "studio" / "worker.js"
PAPER = "#f6efe2"  # of the icon


@cache
def _worker() -> str:
    return WORKER.read_text(encoding="utf-8")


@require_safe
def offline_worker(request: HttpRequest) -> HttpResponse:
    """At the root, since it looks after pages of all rooms; never from a cache, so that a cure arrives."""
    headers = {"Cache-Control": "no-cache", "Service-Worker-Allowed": "/"}
    return HttpResponse(_worker(), content_type="text/javascript", headers=headers)


@require_safe
def offline_page(request: HttpRequest) -> HttpResponse:
    """Shown where a page was not kept; it holds nothing of anybody."""
    return render(request, "studio/offline.html")


@require_safe
def offline_files(request: HttpRequest) -> JsonResponse:
    """The addresses of all scripts, styles and fonts the kept pages use."""
    return JsonResponse({"files": files_to_keep()})


@require_safe
def app_manifest(request: HttpRequest) -> JsonResponse:
    """The studio as a program of the device, with its own icon."""
    icons = [("mark.svg", "any", "any"), ("icon-192.png", "192x192", "any")]
    icons += [("icon-512.png", "512x512", "any"), ("icon-512.png", "512x512", "maskable")]
    studio = vars(request)["studio"]
    document = {
        "id": "/",
        "name": studio.name,
        "short_name": studio.name[:12].strip(),
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            {"src": static(f"studio/{file}"), "sizes": sizes, "purpose": purpose, "type": _kind(file)}
            for file, sizes, purpose in icons
        ],
    }
    return JsonResponse(document, content_type="application/manifest+json")


def _kind(file: str) -> str:
    return "image/svg+xml" if file.endswith(".svg") else "image/png"
