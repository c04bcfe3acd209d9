"""Log lines carry ids only; this formatter is the net below that habit."""

import copy
import logging
import re

MAIL = re.compile(r"[\w.+%-]+@[\w-]+(?:\.[\w-]+)+")
# PostgreSQL repeats the offending values of a row in the lines it names DETAIL.
DETAIL = re.compile(r"^DETAIL:.*$", re.MULTILINE)
# The token of an invitation opens an account and that of a calendar a person's dates, also from a log line
# about a page not found.
TOKEN = re.compile(r"(/(?:invitation|calendar)/)[\w-]+")


def is_refusal(record: logging.LogRecord) -> bool:
    """Whether it tells of a request that was answered with "no": no fault of the program."""
    about_requests = record.name.startswith(("django.request", "django.security"))
    return about_requests and getattr(record, "status_code", 400) < 500


def in_one_line(record: logging.LogRecord) -> logging.LogRecord:
    """The same without the way through the code, and with who asked, by id."""
    short = copy.copy(record)
    short.exc_info = short.exc_text = short.stack_info = None
    # Only where the person was looked up already: a line of the log costs no query.
    person = getattr(getattr(record, "request", None), "_cached_user", None)
    short.msg = f"{record.getMessage()} (person {person.pk if person and person.pk else 'not signed in'})"
    short.args = None
    return short


class PlainFormatter(logging.Formatter):
    """Takes mail addresses, row values told by the database and the tokens of addresses out of every line."""

    def format(self, record: logging.LogRecord) -> str:
        if is_refusal(record):
            record = in_one_line(record)
        line = MAIL.sub("[address]", super().format(record))
        return TOKEN.sub(r"\1[token]", DETAIL.sub("DETAIL: [left out]", line))
