"""Log lines tell nothing about a person."""

import logging

import pytest

from studio.logs import PlainFormatter


def formatted(message: str, *args) -> str:
    record = logging.LogRecord("studio", logging.ERROR, __file__, 1, message, args, None)
    return PlainFormatter("{message}", style="{").format(record)


@pytest.mark.parametrize(
    ("message", "expected"),
    [
        ("mail to ada.t+x@mail.example.org failed", "mail to [address] failed"),
        ("Not Found: /invitation/aZ09_-x/", "Not Found: /invitation/[token]/"),
        ("duplicate key\nDETAIL:  Key (name)=(Ada) already exists.\nmore", "duplicate key\nDETAIL: [left out]\nmore"),
        ("analysis 12 of take 9 failed", "analysis 12 of take 9 failed"),
    ],
)
def test_formatter_takes_out_what_names_a_person(message, expected):
    assert formatted(message) == expected


def test_arguments_are_covered_too():
    assert formatted("sent to %s", "ada@example.org") == "sent to [address]"


def test_formatter_is_the_one_in_use(settings):
    assert settings.LOGGING["formatters"]["plain"]["()"] == "studio.logs.PlainFormatter"
    assert settings.LOGGING["root"]["handlers"] == ["console"]
