from studio.models.clinic import Clinic
from studio.models.people import (
    Consent,
    Guardianship,
    Invitation,
    Role,
    RoleGrant,
    Student,
    Studio,
    User,
)
from studio.models.question import Question, students_playing
from studio.models.season import Audition, Entry, Requirement, Season

__all__ = [
    "Audition",
    "Clinic",
    "Consent",
    "Entry",
    "Guardianship",
    "Invitation",
    "Question",
    "Requirement",
    "Role",
    "RoleGrant",
    "Season",
    "Student",
    "Studio",
    "User",
    "students_playing",
]
