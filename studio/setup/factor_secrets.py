"""Secrets of second factors lie sealed in the database: whoever reads a copy of it can make no codes."""

import base64
import secrets

from allauth.mfa.adapter import DefaultMFAAdapter

from studio.setup.sealing import Unsealable, seal, unseal

# How whatever `seal` makes begins; no secret does, since theirs are written in other letters.
SEALED = "gAAAA"


class SealedSecrets(DefaultMFAAdapter):
    def encrypt(self, text: str) -> str:
        return seal(text)

    def decrypt(self, encrypted_text: str) -> str:
        """One from before secrets were sealed is read as it is; one sealed by another key opens nothing."""
        if not encrypted_text.startswith(SEALED):
            return encrypted_text
        try:
            return unseal(encrypted_text)
        except Unsealable:
            return base64.b32encode(secrets.token_bytes(20)).decode()
