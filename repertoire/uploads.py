"""The mark of views that files are sent to; all other requests are kept small (`studio.setup.middleware`)."""

from collections.abc import Callable
from typing import TypeVar

View = TypeVar("View", bound=Callable)


def takes_files(view: View) -> View:
    """Let a large body come in, from who is signed in; what such a page accepts it says itself."""
    vars(view)["takes_files"] = True
    return view
