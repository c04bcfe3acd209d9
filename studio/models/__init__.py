from studio.models.people import (
    Consent,
    Guardianship,
    Invitation,
    Role,
    RoleGrant,
    Student,
    Studio,
    User,
    instrument_choices,
)
from studio.models.season import Audition, Entry, Requirement, Season

__all__ = [
    "Audition",
    "Consent",
    "Entry",
    "Guardianship",
    "Invitation",
    "Requirement",
    "Role",
    "RoleGrant",
    "Season",
    "Student",
    "Studio",
    "User",
    "instrument_choices",
]
