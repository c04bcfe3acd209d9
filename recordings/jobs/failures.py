"""What is said where a take could not be measured through no fault of its own, by code."""

from repertoire.notation.sentence import SentenceCode as Code

TOO_MANY_ATTEMPTS = Code("take.too_many_attempts")
OUR_FAULT = Code("take.our_fault")
