"""Answers that are kept as a file."""

from django.http import HttpResponse


def csv_answer(text: str, name: str) -> HttpResponse:
    """A download; the mark at the beginning tells spreadsheets that it is UTF-8."""
    response = HttpResponse("\ufeff" + text, content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response


def text_answer(text: str, name: str) -> HttpResponse:
    response = HttpResponse(text, content_type="text/plain; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}.txt"'
    return response
