"""How many uploads of one person come in at once: each holds a thread of the web server."""

import contextlib
from collections.abc import Iterator

from django.conf import settings
from django.utils.translation import gettext_lazy as _

from recordings.upload.probe import NotNow
from repertoire.notation.slots import place
from studio.models import User

# A choice: a family may send several pieces side by side, and nobody plays more than that at once.
OF_ONE_PERSON = 3


@contextlib.contextmanager
def coming_in(person: User) -> Iterator[None]:
    """Raises NotNow, before anything of the body is read, where so many of this person come in already."""
    with place(settings.DATA_DIR / "at-once", f"person-{person.pk}", places=OF_ONE_PERSON) as is_free:
        if not is_free:
            raise NotNow(
                _("Your last recordings are still coming in. Please send this one when they have arrived.")
            )
        yield
