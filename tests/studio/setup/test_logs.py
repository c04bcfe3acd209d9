"""Log lines tell nothing about a person."""

import io
import logging
import wave

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from studio.setup.logs import PlainFormatter


def formatted(message: str, *args) -> str:
    record = logging.LogRecord("studio", logging.ERROR, __file__, 1, message, args, None)
    return PlainFormatter("{message}", style="{").format(record)


@pytest.mark.parametrize(
    ("message", "expected"),
    [
        ("mail to ada.t+x@mail.example.org failed", "mail to [address] failed"),
        ("Not Found: /invitation/aZ09_-x/", "Not Found: /invitation/[token]/"),
        ("duplicate key\nDETAIL:  Key (name)=(Ada) exists.\nmore", "duplicate key\nDETAIL: [left out]\nmore"),
        ("analysis 12 of take 9 failed", "analysis 12 of take 9 failed"),
    ],
)
def test_formatter_takes_out_what_names_a_person(message, expected):
    assert formatted(message) == expected


def test_arguments_are_covered_too():
    assert formatted("sent to %s", "ada@example.org") == "sent to [address]"


def test_formatter_is_the_one_in_use(settings):
    assert settings.LOGGING["formatters"]["plain"]["()"] == "studio.setup.logs.PlainFormatter"
    assert settings.LOGGING["root"]["handlers"] == ["console"]


PECULIAR = "Mira Tannhof zittert bei Takt 12.m4a"


@pytest.mark.django_db
def test_an_upload_leaves_no_name_in_the_logs(as_user, student, entry, requirement, caplog):
    """Neither a take that is kept nor one that is refused is logged with the person's or the file's name."""
    address = reverse("take_upload", args=[entry.pk, requirement.pk])
    client = as_user(student.user)
    with caplog.at_level(logging.DEBUG):
        for content in (silent_wav(), b"no sound at all", b""):
            client.post(address, {"sound": SimpleUploadedFile(PECULIAR, content)})
    assert entry.takes.count() == 1
    wording = caplog.text.lower()
    for word in ("zittert", "tannhof", student.email, student.guardian_email):
        assert word.lower() not in wording


def silent_wav(*, duration_s: float = 2.0, sample_rate: int = 8000) -> bytes:
    made = io.BytesIO()
    with wave.open(made, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(sample_rate)
        sound.writeframes(bytes(2 * int(duration_s * sample_rate)))
    return made.getvalue()
