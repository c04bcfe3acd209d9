from django.core.paginator import Page, Paginator
from django.http import HttpRequest

PAGE_SIZE = 25


def page_of(request: HttpRequest, rows, *, key: str = "page") -> Page:
    """The page asked for by `?page=`; a number out of range gives the nearest page there is."""
    return Paginator(rows, PAGE_SIZE).get_page(request.GET.get(key))
