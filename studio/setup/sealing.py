"""Text that must not lie open in the database: sealed with a key made from SECRET_KEY."""

import base64
import hashlib

from cryptography.fernet import Fernet, InvalidToken
from django.conf import settings


class Unsealable(ValueError):
    """It was sealed with another SECRET_KEY, or is spoiled."""


def seal(text: str) -> str:
    return _key().encrypt(text.encode()).decode()


def unseal(sealed: str) -> str:
    """The text again; raises Unsealable."""
    try:
        return _key().decrypt(sealed.encode()).decode()
    except InvalidToken as error:
        raise Unsealable from error


def _key() -> Fernet:
    digest = hashlib.sha256(b"studio.sealing " + settings.SECRET_KEY.encode()).digest()
    return Fernet(base64.urlsafe_b64encode(digest))
