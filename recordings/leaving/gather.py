"""Everything the studio keeps of one student as plain data, without the names of others.

Who did a thing is told by what they are to the student ("guardian", "teacher"). Not in it: what a teacher has
drafted and not released, what listeners of a panel wrote and nobody handed on, why more time was given, and
places among others.
"""

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q

from recordings.models import (
    Dispatch,
    PanelSheet,
    PanelTake,
    SightReading,
    Statement,
    Take,
    TakeToSend,
    Upload,
)
from recordings.models.sight_reading import SightReadingQuerySet
from recordings.reviews.answer import answer_of, released_review
from recordings.reviews.practice import plan_of
from repertoire.wording.words import words
from studio.models import ClinicAcceptance, Event, Invitation, Notice, Question, Student


class Who:
    """What an account is to this student."""

    def __init__(self, student: Student) -> None:
        guardians = student.guardianships.values_list("guardian_id", flat=True)
        given = student.consents.values_list("given_by_id", flat=True)
        self._known: dict[int | None, str] = {
            student.teacher_id: "teacher",
            **dict.fromkeys([*given, *guardians], "guardian"),
            student.user_id: "student",
        }

    def __call__(self, number: int | None) -> str:
        return "" if number is None else self._known.get(number, "studio")


def everything_of(student: Student) -> dict[str, Any]:
    """By kind of thing; takes come by themselves (`takes_of`), one at a time."""
    who = Who(student)
    return {
        "student": _fields(
            student, "name", "email", "instrument", "level", "is_minor", "guardian_email", number=student.pk
        ),
        "entries": [_entry(entry, who) for entry in student.entries.select_related("audition__season")],
        "questions": [_question(each, who) for each in student.questions.select_related("excerpt")],
        "clinics": [_clinic(each, who) for each in _clinics(student)],
        "agreements": [_agreement(each, who) for each in student.consents.select_related("given_by")],
        "wishes_for_deletion": [
            _fields(each, "asked_at", "taken_back_at", "declined_at", "reason", by=who(each.asked_by_id))
            for each in student.deletion_requests.all()
        ],
        "invitations": [
            _fields(each, "role", "invited_at", "expires_at", "used_at", "withdrawn_at")
            for each in Invitation.objects.filter(student=student)
        ],
        "mails_about_the_student": [
            _fields(each, "kind", "sent_at", to=who(each.user_id))
            for each in Notice.objects.filter(student=student).order_by("pk")
        ],
        "uploads_on_their_way": [
            _fields(each, "original_name", "size", "offset", "begun_at", by=who(each.person_id))
            for each in Upload.objects.filter(entry__student=student, take=None)
        ],
        "read_at_sight": [_reading(each, who) for each in _readings(student).order_by("pk")],
        "events": [
            _fields(each, "at", "kind", "about", "about_number", by=who(each.by_number))
            for each in events_about(student)
        ],
    }


def events_about(student: Student) -> Iterable[Event]:
    takes = list(Take.objects.filter(entry__student=student).order_by().values_list("pk", flat=True))
    entries = list(student.entries.order_by().values_list("pk", flat=True))
    invitations = list(student.invitations.order_by().values_list("pk", flat=True))
    about = Q(about="student", about_number=student.pk)
    about |= Q(about="take", about_number__in=takes) | Q(about="entry", about_number__in=entries)
    about |= Q(about="invitation", about_number__in=invitations)
    if student.user_id:
        about |= Q(about="user", about_number=student.user_id)
    return Event.objects.filter(about).order_by("pk")


def takes_of(student: Student) -> Iterator[Take]:
    takes = Take.objects.filter(entry__student=student).order_by("uploaded_at", "pk")
    known = takes.select_related("requirement__excerpt", "entry__audition", "entry__student", "analysis")
    yield from known.iterator(chunk_size=20)


def _readings(student: Student) -> SightReadingQuerySet:
    return SightReading.objects.filter(student=student)


def handed_readings(student: Student) -> SightReadingQuerySet:
    """Those whose sound may be in the copy: what was not handed in nobody but the player hears."""
    return _readings(student).sounding().exclude(handed_at=None).order_by("made_at", "pk")


def has_reason_of_staff(student: Student) -> bool:
    """Why more time was given was written for staff alone."""
    return student.entries.exclude(extension_reason="").exists()


def kept_to_oneself(student: Student) -> int:
    return _readings(student).sounding().filter(handed_at=None).count()


def _reading(reading: SightReading, who: Who) -> dict[str, Any]:
    return _fields(
        reading,
        *("level", "bpm", "made_at", "looked_at", "played_at", "handed_at", "state", "musicxml"),
        number=reading.pk,
        set_by=who(reading.set_by_id),
        result=reading.result if reading.handed_at else None,
    )


def told_of(take: Take, who: Who) -> dict[str, Any]:
    """What is kept about one take beside its sound and the document measured on it."""
    analysis = getattr(take, "analysis", None)
    return {
        **_fields(
            take,
            *("uploaded_at", "original_name", "media_type", "size", "sha256", "hear_anyway_at"),
            number=take.pk,
            music=take.requirement.excerpt.title,
            audition=take.entry.audition.name,
            by=who(take.uploaded_by_id),
        ),
        "measured": _measured(analysis) if analysis else None,
        "answer": _answer(take, who),
        "set_right_by_ear": [
            _fields(
                each,
                *("at", "begins_s", "ends_s", "order_line", "bar_lines", "right_notes"),
                by=who(each.by_id),
            )
            for each in take.corrections.all()
        ],
        "panels": [_panel(each) for each in _closed_panels(take)],
        "drafts_not_in_this_file": has_unreleased(take),
    }


def has_unreleased(take: Take) -> bool:
    return hasattr(take, "review") and not take.review.is_released


def unheard_remarks(student: Student) -> int:
    """Remarks of listeners that the director has not handed on: they are not in the copy."""
    sheets = PanelSheet.objects.filter(panel_take__take__entry__student=student)
    return sheets.filter(panel_take__handed_on_at=None).exclude(remark="").count()


def _measured(analysis) -> dict[str, Any]:
    return _fields(
        analysis,
        *("state", "finished_at", "unusable", "duration_s", "metronome_bpm", "share_played", "complete"),
        *("a4_hz", "right_share", "in_tune_share"),
        failure=words(analysis.failure) if analysis.failure else "",
    )


def _answer(take: Take, who: Who) -> dict[str, Any] | None:
    review = released_review(take)
    if review is None:
        return None
    plan = plan_of(answer_of(review).cards)
    return {
        **_fields(review, "words", "again", "released_at", "opened_at", by=who(review.reviewer_id)),
        "marks": [
            {
                "caption": mark.caption.name,
                "value": _plain(mark.value),
                "from": _plain(mark.caption.low),
                "to": _plain(mark.caption.high),
            }
            for mark in review.shown_marks
        ],
        "remarks": [_fields(remark, "bars", "text", "start_s", "end_s") for remark in review.shown_remarks],
        "plan": [
            {"bars": item.card.remark.bars, "about": item.card.remark.text, "how": item.how} for item in plan
        ],
    }


def _closed_panels(take: Take) -> Iterable[PanelTake]:
    heard = PanelTake.objects.filter(take=take, panel__closed_at__isnull=False)
    return heard.select_related("panel").prefetch_related("sheets")


def _panel(heard: PanelTake) -> dict[str, Any]:
    """Whose remark is whose nobody is told, here neither; what was not handed on is not the student's yet."""
    said = [sheet.remark for sheet in heard.sheets.all() if sheet.remark.strip()]
    handed_on = said if heard.handed_on_at else []
    closed_at = _plain(heard.panel.closed_at)
    return _fields(heard, "code", "handed_on_at", closed_at=closed_at, remarks=handed_on)


def _entry(entry, who: Who) -> dict[str, Any]:
    return {
        **_fields(entry, "instrument", "level", "made_at", "extended_until", number=entry.pk),
        "audition": entry.audition.name,
        "season": entry.audition.season.name,
        "kept_until": _plain(entry.audition.season.keep_takes_until),
        "chosen_to_send": [
            _fields(each, "chosen_at", take=each.take_id, by=who(each.chosen_by_id))
            for each in TakeToSend.objects.filter(entry=entry)
        ],
        "signed": [
            _fields(each, "kind", "wording", "recordings", "signed_at", by=who(each.signed_by_id))
            for each in Statement.objects.filter(entry=entry)
        ],
        "sent": [
            _fields(each, "sent_at", "confirmation", "contents", "taken_back_at", by=who(each.sent_by_id))
            for each in Dispatch.objects.filter(entry=entry)
        ],
    }


def _question(question: Question, who: Who) -> dict[str, Any]:
    return _fields(
        question,
        *("from_bar", "to_bar", "text", "asked_at", "answer", "answered_at", "is_shared", "shared_text"),
        music=question.excerpt.title,
        by=who(question.asked_by_id),
        answered_by=who(question.answered_by_id),
    )


def _clinics(student: Student) -> Iterable[ClinicAcceptance]:
    return ClinicAcceptance.objects.filter(student=student).select_related("clinic__excerpt")


def _clinic(acceptance: ClinicAcceptance, who: Who) -> dict[str, Any]:
    clinic = acceptance.clinic
    return _fields(
        acceptance,
        *("accepted_at", "may_be_named"),
        music=clinic.excerpt.title,
        held_at=_plain(clinic.held_at),
        place=clinic.place,
        by=who(acceptance.accepted_by_id),
    )


def _agreement(consent, who: Who) -> dict[str, Any]:
    return {
        **_fields(consent, "wording", "given_at", "for_panels", "withdrawn_at", by=who(consent.given_by_id)),
        "kept_until": {
            keeping.season.name: _plain(keeping.until)
            for keeping in consent.keepings.select_related("season")
        },
    }


def _fields(row: Any, *names: str, **more: Any) -> dict[str, Any]:
    return {**{name: _plain(getattr(row, name)) for name in names}, **more}


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value
