"""The people and the small season every room's tests share.

Three kinds of strangers come in pairs: each teacher has one student, each student one
guardian. `student` is a minor whose guardian has agreed; `other_student` is a minor
whose guardian has not. All names are invented.
"""

from datetime import timedelta
from functools import cache

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone, translation

from repertoire.models import Excerpt, Rubric
from repertoire.notation.order.forms import describe, play
from repertoire.notation.read.reading import read_score
from studio.models import (
    Audition,
    Consent,
    Entry,
    Guardianship,
    Requirement,
    Role,
    Season,
    Student,
    Studio,
    User,
)
from tests.ground import (
    django_db_modify_db_settings,
    emptying_passes_the_record_of_events,
    own_ground,
    pytest_collection_modifyitems,
    shipped_forms_come_back,
)
from tests.signed_in import note_sign_in

__all__ = [
    "django_db_modify_db_settings",
    "emptying_passes_the_record_of_events",
    "own_ground",
    "pytest_collection_modifyitems",
    "shipped_forms_come_back",
]

PASSWORD = "lamp-and-paper-42"

_BAR = """<measure number="{number}">{head}{notes}{tail}</measure>"""
_NOTE = (
    "<note><pitch><step>{}</step><octave>{}</octave></pitch><duration>1</duration><type>quarter</type></note>"
)
_HEAD = (
    "<attributes><divisions>1</divisions><key><fifths>0</fifths><mode>major</mode></key>"
    "<time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
)
_REPEAT = (
    '<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>'
)
_TUNE = ("A4 B4 C5 D5", "E5 D5 C5 B4", "A4 C5 E5 C5", "D5 B4 G4 A4")


def tune_musicxml(times: int = 1) -> bytes:
    """Four bars of quarter notes for violin in 4/4, the first two repeated: 1-2, 1-2, 3-4.

    With `times` the four are written out so often, for music as long as one likes.
    """
    bars = [
        _BAR.format(
            number=number,
            head=_HEAD if number == 1 else "",
            notes="".join(_NOTE.format(*name) for name in names.split()),
            tail=_REPEAT if number == 2 else "",
        )
        for number, names in enumerate(_TUNE * times, start=1)
    ]
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        '<part-list><score-part id="P1"><part-name>Violin</part-name></score-part></part-list>'
        f'<part id="P1">{"".join(bars)}</part></score-partwise>'
    ).encode()


@cache
def tune():
    return read_score(tune_musicxml(), filename="tune.musicxml")


@pytest.fixture(autouse=True)
def private_media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture(autouse=True)
def own_counters(settings, tmp_path):
    """Limits on sign-ins count per test."""
    memory = "django.core.cache.backends.locmem.LocMemCache"
    settings.CACHES = {
        name: {"BACKEND": memory, "LOCATION": f"{tmp_path}/{name}"} for name in ("default", "drawings")
    }


@pytest.fixture(autouse=True)
def own_language():
    """A request leaves its language behind; the next test begins in the program's own."""
    yield
    translation.deactivate()


@pytest.fixture(autouse=True)
def quick_passwords(settings):
    """Slow hashing guards real passwords; here it would only cost time."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def ended_by(tmp_path, monkeypatch):
    """`ended_by("KILL")`: every bounded process started from now on ends at once by this signal."""

    def arranged(signal_name: str) -> None:
        program = tmp_path / "python"
        program.write_text(f"#!/bin/sh\nkill -{signal_name} $$\n")
        program.chmod(0o755)
        monkeypatch.setattr("sys.executable", str(program))

    return arranged


@pytest.fixture
def as_user():
    """A fresh browser, signed in: `as_user(director).get(...)`; `as_user(None)` is anonymous."""

    def browser(user: User | None) -> Client:
        client = Client()
        if user is not None:
            client.force_login(user)
            note_sign_in(client, user)
        return client

    return browser


def make_person(name: str, *roles: str, email: str = "") -> User:
    address = email or f"{name.split()[0].lower()}@example.org"
    user = User.objects.create_user(email=address, password=PASSWORD, name=name)
    user.grant(*roles)
    return user


@pytest.fixture
def studio(db):
    return Studio.objects.create(name="Linden Studio", time_zone="Europe/Vienna")


@pytest.fixture
def director(studio):
    return make_person("Dorothea Quill", Role.DIRECTOR)


@pytest.fixture
def teacher(studio):
    return make_person("Anselm Birke", Role.TEACHER)


@pytest.fixture
def other_teacher(studio):
    return make_person("Petra Lohe", Role.TEACHER)


@pytest.fixture
def student_user(studio):
    return make_person("Mira Tannhof", Role.STUDENT)


@pytest.fixture
def other_student_user(studio):
    return make_person("Jonas Eschwald", Role.STUDENT)


@pytest.fixture
def guardian(studio):
    return make_person("Ruth Tannhof", Role.GUARDIAN)


@pytest.fixture
def other_guardian(studio):
    return make_person("Karl Eschwald", Role.GUARDIAN)


def make_student(user: User, teacher: User, guardian: User) -> Student:
    student = Student.objects.create(
        user=user,
        name=user.name,
        email=user.email,
        instrument="violin",
        level="senior",
        teacher=teacher,
        is_minor=True,
        guardian_email=guardian.email,
    )
    Guardianship.objects.create(guardian=guardian, student=student)
    return student


@pytest.fixture
def student(student_user, teacher, guardian):
    student = make_student(student_user, teacher, guardian)
    Consent.objects.create(student=student, given_by=guardian, wording="Agreed for the tests.")
    return student


@pytest.fixture
def other_student(other_student_user, other_teacher, other_guardian):
    return make_student(other_student_user, other_teacher, other_guardian)


@pytest.fixture
def season(studio):
    today = timezone.localdate()
    return Season.objects.create(
        name="Autumn round", starts_on=today - timedelta(days=30), ends_on=today + timedelta(days=60)
    )


@pytest.fixture
def audition(season):
    closes_at = timezone.now() + timedelta(days=30)
    return Audition.objects.create(
        season=season, name="Youth orchestra", held_on=closes_at.date(), closes_at=closes_at
    )


@pytest.fixture
def excerpt(studio):
    canonical = tune()
    return Excerpt.objects.create(
        title="Lamp Etude",
        composer="Invented",
        instrument="violin",
        musicxml=canonical.musicxml,
        marked_bpm=96,
        bar_count=len(canonical.score.measures),
        order_text=describe(play(canonical.score)),
        order_confirmed=True,
    )


@pytest.fixture
def rubric(studio):
    rubric = Rubric.objects.create(name="Etude form")
    for position, (name, measured) in enumerate(
        [("Tone", ""), ("Intonation", "intonation"), ("Musicality", "")], start=1
    ):
        rubric.captions.create(position=position, name=name, low=1, high=10, step=1, measured=measured)
    return rubric


@pytest.fixture
def requirement(audition, excerpt, rubric):
    return Requirement.objects.create(
        audition=audition,
        instrument="violin",
        level="senior",
        excerpt=excerpt,
        rubric=rubric,
        marked_bpm=96,
        low_bpm=88,
        high_bpm=104,
        due_at=audition.closes_at - timedelta(days=10),
    )


@pytest.fixture
def entry(student, audition):
    return Entry.objects.create(student=student, audition=audition, instrument="violin", level="senior")


@pytest.fixture
def score_file():
    """A fresh upload each time it is called: `score_file()`, `score_file(b"...", "x.mxl")`."""

    def made(data: bytes | None = None, name: str = "tune.musicxml") -> SimpleUploadedFile:
        return SimpleUploadedFile(name, tune_musicxml() if data is None else data)

    return made


@pytest.fixture
def typed():
    """What a director types on the page for a new score."""
    return {
        "title": "Window Etude",
        "composer": "Nobody Real",
        "source": "Page 7",
        "instrument": "violin",
        "marked_bpm": "88",
        "beat_unit": "1.0",
        "temperament": "equal",
    }
