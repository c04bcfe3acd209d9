"""Lists in pages, with the addresses of the pages beside; every room uses this."""

from typing import cast

from django.core.paginator import Page, Paginator
from django.http import HttpRequest

PAGE_SIZE = 25


class ListPage(Page):
    """A page that knows how it was asked for, so that filters and other lists of the address stay."""

    paginator: "_Pages"

    @property
    def earlier_query(self) -> str:
        return self.paginator.query(self.previous_page_number())

    @property
    def further_query(self) -> str:
        return self.paginator.query(self.next_page_number())


class _Pages(Paginator):
    def __init__(self, request: HttpRequest, rows, key: str) -> None:
        super().__init__(rows, PAGE_SIZE)
        self.asked, self.key = request.GET, key

    def query(self, number: int) -> str:
        changed = self.asked.copy()
        changed[self.key] = str(number)
        return f"?{changed.urlencode()}"

    def _get_page(self, *args, **kwargs) -> ListPage:
        return ListPage(*args, **kwargs)


def page_of(request: HttpRequest, rows, *, key: str = "page") -> ListPage:
    """The page asked for by `?page=`; a number out of range gives the nearest page there is."""
    return cast(ListPage, _Pages(request, rows, key).get_page(request.GET.get(key)))
