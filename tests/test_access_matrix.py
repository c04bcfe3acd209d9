"""Every address of the project times everybody who may knock; a new address must enter the table."""

import pytest
from django.core.files.base import ContentFile
from django.db import transaction
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from recordings.models import Analysis, Erasure, OwnCopy, Panel, Phrase, Review, SightReading, Take, Upload
from repertoire.models import Attachment, BarNote
from studio.models import (
    CalendarFeed,
    Clinic,
    Consent,
    Handover,
    Invitation,
    Question,
    Role,
    SendingRules,
    User,
)
from tests.access_table import PEOPLE, Line, by_first_word, lines
from tests.recordings.sight_rows import sight_reading

pytestmark = pytest.mark.django_db
# These pages come from allauth, which guards them; below is only what the project adds to that.
ACCOUNTS = "accounts/"


def addresses(patterns, before: str = "") -> list[tuple[str, str]]:
    """Route and name of every address, also of those inside included lists."""
    found = []
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            found += addresses(pattern.url_patterns, route)
        elif isinstance(pattern, URLPattern):
            found.append((route, pattern.name or "unnamed"))
    return found


@pytest.fixture
def take(entry, requirement, student_user):
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        uploaded_by=student_user,
        sound=ContentFile(b"sound", name="take"),
        sha256="0" * 64,
        size=5,
        media_type="audio/flac",
    )
    Analysis.objects.create(take=take, state=Analysis.State.FAILED, failure="For this test.")
    Review.objects.create(take=take)
    return take


@pytest.fixture
def open_invitation(director):
    return Invitation.issue(email="n@example.org", name="N", role=Role.TEACHER, invited_by=director)


@pytest.fixture
def former(studio):
    return User.objects.create_user(email="former@example.org", name="Former Hand", is_active=False)


@pytest.fixture
def bar_note(excerpt, teacher):
    return BarNote.objects.create(excerpt=excerpt, author=teacher, from_bar="1", to_bar="1", text="Slowly.")


@pytest.fixture
def question(excerpt, student, student_user):
    return Question.objects.create(
        excerpt=excerpt, student=student, asked_by=student_user, from_bar="1", to_bar="1", text="Why?"
    )


@pytest.fixture
def clinic(excerpt, teacher, audition):
    return Clinic.objects.create(excerpt=excerpt, leader=teacher, held_at=audition.closes_at, place="Room 2")


@pytest.fixture
def foreign_clinic(excerpt, other_teacher, audition):
    """Set up by the teacher of others, open to all who play the music."""
    return Clinic.objects.create(
        excerpt=excerpt, leader=other_teacher, held_at=audition.closes_at, place="Room 3"
    )


@pytest.fixture
def accepted_question(excerpt, student, student_user, foreign_clinic, question):
    """Asked after the student had accepted the other teacher's clinic; `question` was asked before."""
    foreign_clinic.acceptances.create(student=student)
    return Question.objects.create(
        excerpt=excerpt, student=student, asked_by=student_user, from_bar="1", to_bar="1", text="How?"
    )


@pytest.fixture
def panel(take, requirement, other_teacher, director):
    """It hears the take; its one listener is the teacher of others."""
    panel = Panel.objects.create(
        audition=requirement.audition, name="Panel", rubric=requirement.rubric, made_by=director
    )
    Consent.objects.update(for_panels=True)
    heard = panel.takes.create(
        take=take, code="B22", sound=ContentFile(b"clean", name="clean"), size=5, sound_state="ready"
    )
    panel.listeners.create(user=other_teacher).sheets.create(panel_take=heard, position=0)
    return panel


@pytest.fixture
def closed_panel(panel, take, other_teacher, audition, rubric, director):
    closed = Panel.objects.create(
        audition=audition, name="Closed", rubric=rubric, made_by=director, closed_at=audition.closes_at
    )
    heard = closed.takes.create(take=take, code="B22")
    closed.listeners.create(user=other_teacher).sheets.create(panel_take=heard, position=0, remark="Sing.")
    return closed


@pytest.fixture
def page(requirement):
    return Attachment.objects.create(
        excerpt=requirement.excerpt, kind="image/png", size=4, file=ContentFile(b"page", name="page")
    )


@pytest.fixture
def rules(audition):
    return SendingRules.objects.create(audition=audition)


@pytest.fixture
def handed_reading(requirement, student, audition):
    return sight_reading(
        requirement,
        student,
        content_hash="2",
        sound=ContentFile(b"sound", name="take"),
        size=5,
        media_type="audio/flac",
        state=SightReading.State.DONE,
        handed_at=audition.closes_at,
    )


@pytest.fixture
def numbers(
    season,
    audition,
    requirement,
    entry,
    student,
    teacher,
    take,
    open_invitation,
    former,
    bar_note,
    question,
    clinic,
    foreign_clinic,
    accepted_question,
    page,
    rules,
    panel,
    closed_panel,
    handed_reading,
) -> dict:
    """What stands in an address for each object."""
    file = ContentFile(b"zip", name="copy")
    OwnCopy.objects.create(student=student, state=OwnCopy.State.DONE, file=file)
    invitation, token = open_invitation
    over = Handover.objects.create(
        teacher=teacher, colleague=former, from_day=season.starts_on, until_day=season.ends_on
    )
    return {
        "season": season.pk,
        "audition": audition.pk,
        "requirement": requirement.pk,
        "entry": entry.pk,
        "student": student.pk,
        "take": take.pk,
        "upload": Upload.objects.create(
            person=student.user, entry=entry, requirement=requirement, size=10, sha256="1" * 64
        ).pk,
        "excerpt": requirement.excerpt.pk,
        "page": page.pk,
        "panel": panel.pk,
        "code": "B22",
        "listener": panel.listeners.get().pk,
        "closed_panel": closed_panel.pk,
        "reading": sight_reading(requirement, student).pk,
        "handed_reading": handed_reading.pk,
        "rubric": requirement.rubric.pk,
        "invitation": invitation.pk,
        "token": token,
        "feed": CalendarFeed.renew(student.user),
        "ended_feed": "ended",
        "person": teacher.pk,
        "former": former.pk,
        "grant": teacher.roles.get().pk,
        "bar_note": bar_note.pk,
        "handover": over.pk,
        "phrase": Phrase.objects.create(owner=teacher, text="Slowly.").pk,
        "studio_phrase": Phrase.objects.create(text="Slowly, all.").pk,
        "question": question.pk,
        "clinic": clinic.pk,
        "foreign_clinic": foreign_clinic.pk,
        "clinic_question": question.pk,
        "accepted_question": accepted_question.pk,
        "guardianship": student.guardianships.get().pk,
        "agreement": student.consents.get().pk,
        "erasure": Erasure.objects.create(student_number=99, by_number=1).pk,
    }


@pytest.fixture
def people(request, director, teacher, other_teacher, student, other_student) -> dict:
    return {name: None if name == "anonymous" else request.getfixturevalue(name) for name in PEOPLE}


def reported(client, line: Line, address: str) -> str:
    """The status, or `in` for the sign-in page; whatever the request changed is taken back."""
    with transaction.atomic():
        response = client.generic(line.method, address)
        transaction.set_rollback(True)
    to_sign_in = response.status_code == 302 and response.url.startswith(reverse("account_login"))
    return "in" if to_sign_in else str(response.status_code)


@pytest.mark.parametrize("together", by_first_word())
def test_addresses(together, people, numbers, as_user):
    seen, expected = {}, {}
    for line in together:
        address = reverse(line.name, args=[numbers[name] for name in line.objects])
        expected[line, address] = dict(zip(PEOPLE, line.expected, strict=True))
        seen[line, address] = {
            name: reported(as_user(person), line, address) for name, person in people.items()
        }
    assert seen == expected


def test_every_address_is_in_the_table():
    known = {line.name for line in lines()}
    every = addresses(get_resolver().url_patterns)
    assert not [route for route, name in every if not route.startswith(ACCOUNTS) and name not in known]
    assert not known - {name for _, name in every}


def test_what_changes_something_refuses_get(people, numbers, as_user):
    """An address of the table with POST alone does nothing on GET, whoever asks."""
    reading = {line.name for line in lines() if line.method == "GET"}
    client = as_user(people["director"])
    for line in (line for line in lines() if line.name not in reading):
        address = reverse(line.name, args=[numbers[name] for name in line.objects])
        assert client.get(address).status_code == 405, line.name


# What staff without a second factor meet: its page asks for a fresh sign-in, and codes are not there yet.
SECOND_FACTOR = {
    "mfa_index": "200",
    "mfa_activate_totp": "302",
    "mfa_view_recovery_codes": "404",
    "mfa_generate_recovery_codes": "302",
}


@pytest.mark.parametrize(("name", "for_staff"), SECOND_FACTOR.items())
def test_second_factor_is_for_staff(people, as_user, name, for_staff):
    line, address = Line("GET", name, (), ()), reverse(name)
    seen = {who: reported(as_user(person), line, address) for who, person in people.items()}
    staff = {seen.pop(who) for who in ("director", "teacher", "other_teacher")}
    assert seen.pop("anonymous") == "in"
    assert staff == {for_staff}
    assert set(seen.values()) == {"403"}


@pytest.mark.parametrize("page", ["email/", "confirm-email/", "confirm-email/x/"])
def test_a_mail_address_is_the_directors_to_change(people, as_user, page):
    for person in people.values():
        assert as_user(person).get(f"/{ACCOUNTS}{page}").status_code == 404


def test_there_is_no_open_sign_up(client, studio):
    answers = {"email": "x@example.org", "password1": "lamp-and-paper", "password2": "lamp-and-paper"}
    client.post(reverse("account_signup"), answers)
    assert not User.objects.exists()
