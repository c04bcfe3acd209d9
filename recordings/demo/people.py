"""The studio's invented people: accounts that share one known password, students, guardians, consents."""

from django.contrib.auth.hashers import make_password
from django.utils.translation import gettext as _

from recordings.demo.plan import Calendar
from studio.models import Consent, Guardianship, Invitation, Role, Student, Studio, User


def load_studio(plan: dict, zone: str) -> Studio:
    studio = Studio.objects.first() or Studio()
    studio.name, studio.time_zone, studio.invented = plan["studio"]["name"], zone, True
    studio.ready_percent = plan["studio"]["ready_percent"]
    studio.save()
    return studio


def load_people(plan: dict) -> dict[str, User]:
    """Accounts by key. The password is hashed once: one slow hash for all keeps the loading short."""
    hashed = make_password(plan["password"])
    return {
        row["key"]: _account(row, row["roles"], hashed) for row in [*plan["people"], *_student_rows(plan)]
    }


def _student_rows(plan: dict) -> list[dict]:
    return [{**row, "roles": [Role.STUDENT]} for row in plan["students"] if not row.get("invited")]


def _account(row: dict, roles: list[str], hashed: str) -> User:
    user = User(email=row["email"], name=row["name"], password=hashed)
    user.save()
    user.grant(*roles)
    return user


def load_students(plan: dict, people: dict[str, User], calendar: Calendar) -> dict[str, Student]:
    director = next(people[row["key"]] for row in plan["people"] if Role.DIRECTOR in row["roles"])
    return {row["key"]: _student(row, people, director, calendar) for row in plan["students"]}


def _student(row: dict, people: dict[str, User], director: User, calendar: Calendar) -> Student:
    guardian = people.get(row.get("guardian", ""))
    student = Student.objects.create(
        user=people.get(row["key"]),
        name=row["name"],
        email=row["email"],
        instrument=row["instrument"],
        level=row["level"],
        teacher=people[row["teacher"]],
        is_minor=row["minor"],
        guardian_email=guardian.email if guardian else row.get("guardian_email", ""),
    )
    if guardian:
        Guardianship.objects.create(guardian=guardian, student=student)
    if guardian and "consent" in row:
        wording = _(
            "I agree that %(name)s may record and upload takes for this studio, and that the listeners of a "
            "mock audition may hear them without the name."
        ) % {"name": student.name}
        given_at = calendar.at(row["consent"])
        Consent.objects.create(
            student=student, given_by=guardian, given_at=given_at, wording=wording, for_panels=True
        )
    if row.get("invited"):
        Invitation.issue(
            email=student.email, name=student.name, role=Role.STUDENT, invited_by=director, student=student
        )
    return student
