"""Who may open and change which takes and cells: strangers get 404, the known but not allowed 403.

Who a person is to a student is `studio.access`'s to say. Whether a take's state allows a thing (an audition
closed, a review written) is not asked here but where the thing is done.
"""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from recordings.models import SightReading, Take, Upload
from studio.access import entry_or_404, may_teach, may_upload_for
from studio.models import Entry, Requirement, Student, User
from studio.models.entry import EntryQuerySet


def take_or_404(user, pk: int) -> Take:
    takes = Take.objects.visible_to(user).with_everything()
    return get_object_or_404(takes.defer("analysis__result", "requirement__excerpt__musicxml"), pk=pk)


def take_to_answer(user, pk: int) -> Take:
    """The take for its own teacher or a director; 404 for strangers, 403 for student and guardians."""
    take = take_or_404(user, pk)
    if not may_teach(user, take.entry.student):
        raise PermissionDenied
    return take


def take_to_remove(user, pk: int) -> Take:
    """The take for whoever may hand one in; 404 for strangers, 403 for others who see it."""
    take = take_or_404(user, pk)
    if not may_upload_for(user, take.entry.student):
        raise PermissionDenied
    return take


def cell_or_404(user, entry_id: int, requirement_id: int) -> tuple[Entry, Requirement]:
    """One entry and one of the requirements it carries."""
    entry = entry_or_404(user, entry_id)
    requirements = entry.requirements.select_related("excerpt", "rubric").defer("excerpt__musicxml")
    return entry, get_object_or_404(requirements, pk=requirement_id)


def cell_to_upload_to(user, entry_id: int, requirement_id: int) -> tuple[Entry, Requirement]:
    """The same for whoever may hand in a take; 404 for strangers, 403 for others who see it."""
    entry, requirement = cell_or_404(user, entry_id, requirement_id)
    if not may_upload_for(user, entry.student):
        raise PermissionDenied
    return entry, requirement


def upload_or_404(user: User, pk: UUID) -> Upload:
    """The person's own upload, as long as they may hand in takes for the student; 404 for everybody else."""
    rows = Upload.objects.select_related("entry__student__teacher", "entry__audition", "requirement", "take")
    upload = get_object_or_404(rows, pk=pk, person=user)
    cell_to_upload_to(user, upload.entry_id, upload.requirement_id)
    return upload


def cell_to_teach(user, entry_id: int, requirement_id: int) -> tuple[Entry, Requirement]:
    """The same for the own teacher or a director; 404 for strangers, 403 for student and guardians."""
    entry, requirement = cell_or_404(user, entry_id, requirement_id)
    if not may_teach(user, entry.student):
        raise PermissionDenied
    return entry, requirement


def entry_to_teach(user, pk: int) -> Entry:
    """The entry for the own teacher or a director; 404 for strangers, 403 for student and guardians."""
    entry = entry_or_404(user, pk)
    if not may_teach(user, entry.student):
        raise PermissionDenied
    return entry


def entries_of_staff(user: User) -> EntryQuerySet:
    """Every entry for a director, those of the own students for a teacher."""
    return Entry.objects.all() if user.is_director else Entry.objects.filter(student__teacher=user)


def may_consent_for(user: User, student: Student) -> bool:
    """Only a guardian agrees to the recording of a child."""
    return student.guardianships.filter(guardian=user).exists()


def sight_or_404(user: User, pk: int) -> SightReading:
    """An exercise for its player, and for whoever it was handed to; 404 for everybody else."""
    rows = SightReading.objects.visible_to(user).select_related("student__teacher", "requirement__excerpt")
    return get_object_or_404(rows.defer("requirement__excerpt__musicxml"), pk=pk)


def own_sight_reading(user: User, pk: int) -> SightReading:
    """The same for its player alone; 403 for others who see it."""
    reading = sight_or_404(user, pk)
    if not plays_for(user, reading.student):
        raise PermissionDenied
    return reading


def plays_for(user: User, student: Student) -> bool:
    """The student, or a guardian of a child without an account of its own."""
    if student.user_id is not None:
        return student.user_id == user.pk
    return student.guardianships.filter(guardian=user).exists()


def players_of(user: User) -> QuerySet[Student]:
    """The students this person plays for."""
    child = Q(user=None, guardianships__guardian=user)
    return Student.objects.filter(Q(user=user) | child).distinct()
