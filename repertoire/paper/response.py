"""Printing over the web: how a reader wants it on paper, and the PDF that goes out."""

from collections.abc import Mapping
from typing import TypedDict

from django.http import Http404, HttpResponse
from django.utils.cache import patch_cache_control
from django.utils.text import slugify

from repertoire.paper.music import PAPERS

EVERY_BAR = "every"


class HowPrinted(TypedDict):
    paper: str
    every_bar: bool


def how_printed(query: Mapping[str, str]) -> HowPrinted:
    """?paper=a4 or letter; bars are numbered at each line's beginning, with ?numbers=every all of them."""
    paper = query.get("paper", "a4")
    if paper not in PAPERS:
        raise Http404
    return {"paper": paper, "every_bar": query.get("numbers") == EVERY_BAR}


def as_pdf(pdf: bytes, *, title: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{slugify(title) or "music"}.pdf"'}
    response = HttpResponse(pdf, content_type="application/pdf", headers=headers)
    patch_cache_control(response, private=True)
    return response
