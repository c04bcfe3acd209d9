"""Coming to a clinic: said by the student or a guardian, and taken back."""

from dataclasses import dataclass

from studio.access import own_students_invited
from studio.models import Clinic, ClinicAcceptance, Student, User


@dataclass(frozen=True, slots=True)
class OwnAcceptance:
    """One student this person speaks for, and the yes that stands; None where none was given."""

    student: Student
    acceptance: ClinicAcceptance | None


def own_acceptances(clinic: Clinic, user: User) -> list[OwnAcceptance]:
    standing = {row.student_id: row for row in clinic.acceptances.all()}
    return [
        OwnAcceptance(student, standing.get(student.pk)) for student in own_students_invited(user, clinic)
    ]


def accept(clinic: Clinic, student: Student, *, by: User, may_be_named: bool) -> ClinicAcceptance:
    """The yes and its day stay as first given; only the name may be agreed to later."""
    acceptance, _new = ClinicAcceptance.objects.get_or_create(
        clinic=clinic, student=student, defaults={"accepted_by": by}
    )
    acceptance.may_be_named = may_be_named
    acceptance.save(update_fields=["may_be_named"])
    return acceptance
