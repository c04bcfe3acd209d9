"""Log lines tell nothing about a person."""

import io
import logging
import sys
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
        ("Not Found: /calendar/aZ09_-x.ics", "Not Found: /calendar/[token].ics"),
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


def test_a_refusal_is_one_line_with_the_persons_number(student, teacher, as_user, capsys):
    """A drill of 50,000 refused requests must leave 50,000 lines, not a million."""
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(PlainFormatter("{name} {message}", style="{"))
    logging.getLogger("django.request").addHandler(handler)
    try:
        assert as_user(teacher).get("/studio/").status_code == 403
        assert as_user(teacher).get("/students/999999/").status_code == 404
        assert as_user(None).get("/no-such-page/").status_code == 404
    finally:
        logging.getLogger("django.request").removeHandler(handler)
    lines = stream.getvalue().splitlines()
    assert len(lines) == 3
    assert f"(person {teacher.pk})" in lines[0]
    assert f"(person {teacher.pk})" in lines[1]
    assert "(person not signed in)" in lines[2]


def test_a_fault_of_the_program_keeps_its_way_through_the_code():
    try:
        raise ValueError("a fault")
    except ValueError:
        record = logging.LogRecord("django.request", logging.ERROR, __file__, 1, "Broken", (), sys.exc_info())
    record.status_code = 500
    assert "Traceback" in PlainFormatter("{message}", style="{").format(record)
