from studio.models import Studio
from studio.services.events import request_at_work


def ready_percent() -> int:
    """The share of a caption's top that counts as ready; in a page the one its request began with."""
    studio = getattr(request_at_work.get(), "studio", None) or Studio.current()
    return studio.ready_percent
