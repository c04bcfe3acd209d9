"""The texts that lie in a student's copy beside the data: what each file is, the answers, the agreements."""

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.models import Student, Studio
from studio.services.consent import receipt_text


def list_text(
    student: Student,
    files: list[str],
    *,
    missing: list[str],
    drafts: int = 0,
    unheard: int = 0,
    kept_to_oneself: int = 0,
    has_reason: bool = False,
) -> str:
    """What lies in the copy, and what does not and why."""
    head = _("Everything that %(studio)s keeps of %(name)s") % {
        "studio": Studio.current().name,
        "name": student.name,
    }
    lines = [
        head,
        "",
        _("everything.json: all that is written down, as data (times are UTC)"),
        _("sounds: the recordings as they were handed in"),
        _("measured: what was measured on each, as data and in words"),
        _("answers: the teacher's answers, with marks, remarks and practice plan"),
        _("agreements: each agreement to recording, with its words and dates"),
        _("SHA256SUMS: checksums of all files"),
        "",
        _(
            "Others are told by what they are to the student (guardian, teacher, studio), not by name. What "
            "people wrote, the words of agreements too, stands as they wrote it."
        ),
    ]
    if drafts:
        lines.append(
            ngettext(
                "Not in it: the draft of %d answer that no teacher has released.",
                "Not in it: the drafts of %d answers that no teacher has released.",
                drafts,
            )
            % drafts
        )
    if unheard:
        lines.append(
            ngettext(
                "Not in it: %d remark of a panel's listeners that the director has not handed on.",
                "Not in it: %d remarks of a panel's listeners that the director has not handed on.",
                unheard,
            )
            % unheard
        )
    if kept_to_oneself:
        lines.append(
            ngettext(
                "Not in it: %d take of reading at sight, not handed in; the player alone hears it.",
                "Not in it: %d takes of reading at sight, not handed in; the player alone hears them.",
                kept_to_oneself,
            )
            % kept_to_oneself
        )
    if has_reason:
        reason = _("Not in it: why more time was given; it was written for staff. Please ask the studio.")
        lines.append(reason)
    lines += [_("Missing in the studio's storage: %s") % name for name in missing]
    return "\n".join([*lines, "", *files, ""])


def answer_text(told: dict[str, Any]) -> str:
    """The answer to one take as a page of plain text."""
    answer = told["answer"]
    marks = [f"{each['caption']}: {each['value']} ({each['from']}-{each['to']})" for each in answer["marks"]]
    remarks = [_said(each["bars"], each["text"]) for each in answer["remarks"]]
    plan = [_said(each["bars"], each["how"] or each["about"]) for each in answer["plan"]]
    parts = [
        f"{told['music']}, {told['audition']}, {told['uploaded_at'][:10]}",
        answer["words"],
        "\n".join(marks),
        "\n".join(remarks),
        "\n".join([_("Practice plan"), *plan]) if plan else "",
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _said(bars: str, text: str) -> str:
    return f"[{bars}] {text}" if bars else text


def agreements_of(student: Student) -> dict[str, str]:
    """A receipt for each agreement, by the name of its file."""
    consents = student.consents.select_related("given_by", "student").order_by("given_at", "pk")
    return {
        f"agreements/{consent.given_at:%Y-%m-%d}-{consent.pk}.txt": receipt_text(consent)
        for consent in consents
    }
