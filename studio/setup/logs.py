"""Log lines carry ids only; this formatter is the net below that habit."""

import logging
import re

MAIL = re.compile(r"[\w.+%-]+@[\w-]+(?:\.[\w-]+)+")
# PostgreSQL repeats the offending values of a row in the lines it names DETAIL.
DETAIL = re.compile(r"^DETAIL:.*$", re.MULTILINE)
# The token of an invitation opens an account, also from a log line about a page not found.
TOKEN = re.compile(r"(/invitation/)[\w-]+")


class PlainFormatter(logging.Formatter):
    """Takes mail addresses, row values told by the database and invitation tokens out of every line."""

    def format(self, record: logging.LogRecord) -> str:
        line = MAIL.sub("[address]", super().format(record))
        return TOKEN.sub(r"\1[token]", DETAIL.sub("DETAIL: [left out]", line))
