"""What is said where a copy of everything cannot be made."""

from repertoire.notation.sentence import SentenceCode as Code

COPY_NO_ROOM = Code("leaving.copy_no_room")
COPY_FAILED = Code("leaving.copy_failed")
