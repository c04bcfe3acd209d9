"""What is shown of one entry's sending, and of many in a list."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from recordings.models import Bundle, Dispatch, Statement, Take
from recordings.sending import signing
from recordings.sending.checks import check
from recordings.sending.choice import Choice, choices_of
from recordings.sending.choose import may_choose
from recordings.sending.facts import Check, Submission, Verdict, files_of
from recordings.sending.gather import submission_of
from studio.access import may_teach
from studio.models import Entry, SendingRules, Student, User
from studio.sending.rules import FilePlan, Rules


@dataclass(frozen=True, slots=True)
class Standing:
    """One entry beside the rules; no checks where the audition has no rules."""

    entry: Entry
    choices: list[Choice]
    checks: list[Check]
    bundle: Bundle | None = None
    dispatch: Dispatch | None = None
    signed: Mapping[str, Statement] = field(default_factory=dict)  # those that stand, by kind
    is_outdated: bool = False  # the bundle holds other takes, or names them by other rules

    def _with(self, verdict: Verdict) -> list[Check]:
        return [each for each in self.checks if each.verdict is verdict]

    @property
    def broken(self) -> list[Check]:
        return self._with(Verdict.BROKEN)

    @property
    def left_open(self) -> list[Check]:
        return self._with(Verdict.OPEN)

    @property
    def kept(self) -> list[Check]:
        return self._with(Verdict.KEPT)

    @property
    def is_ready(self) -> bool:
        return bool(self.checks) and not self.broken and not self.left_open


def rules_of(audition_id: int) -> Rules | None:
    row = SendingRules.objects.filter(audition=audition_id).first()
    return row.rules if row else None


def standings_of(
    entries: Sequence[Entry], rules: Rules | None, *, at: datetime | None = None
) -> list[Standing]:
    """Entries of one audition, with student, audition and bundle; the queries do not grow with them."""
    choices = choices_of(entries, order=rules.order if rules else "")
    agreed = _agreed(entries)
    sent = Dispatch.objects.standing().filter(entry__in=entries).select_related("sent_by")
    dispatches = {dispatch.entry_id: dispatch for dispatch in sent}
    statements = defaultdict(list)
    for statement in Statement.objects.filter(entry__in=entries).select_related("signed_by"):
        statements[statement.entry_id].append(statement)
    return [
        _standing(
            entry,
            rules,
            choices[entry.pk],
            agreed=entry.student_id in agreed,
            bundle=getattr(entry, "bundle", None),
            dispatch=dispatches.get(entry.pk),
            statements=statements[entry.pk],
            at=at or timezone.now(),
        )
        for entry in entries
    ]


def entry_context(user: User, entry: Entry, *, error: str = "") -> dict:
    """Template context of one entry's page; `error` says why a choice was refused."""
    rules = rules_of(entry.audition_id)
    [standing] = standings_of([entry], rules)
    asked = signing.wordings(rules, is_minor=entry.student.is_minor) if rules else {}
    own = signing.kinds_for(user, entry)
    return {
        "entry": entry,
        "rules": rules,
        "standing": standing,
        "bundle": standing.bundle,
        "in_one": rules is not None and rules.files == FilePlan.ONE,
        "every_take": _every_take(entry),
        "may_choose": may_choose(user, entry) and not standing.dispatch,
        "asked": [(kind, wording, standing.signed.get(kind), kind in own) for kind, wording in asked.items()],
        "takes": "-".join(signing.recordings_of(standing.choices)),
        "may_teach": may_teach(user, entry.student),
        "error": error,
    }


def _standing(
    entry: Entry,
    rules: Rules | None,
    choices: list[Choice],
    *,
    agreed: bool,
    bundle: Bundle | None,
    dispatch: Dispatch | None,
    statements: list[Statement],
    at: datetime,
) -> Standing:
    if rules is None:
        return Standing(entry, choices, [], bundle, dispatch)
    signed = signing.standing(statements, choices, rules)
    submission = submission_of(
        entry, rules, choices, agreed=agreed, at=at, bundle=bundle, settled=signed.keys()
    )
    outdated = _is_outdated(rules, submission, bundle)
    return Standing(entry, choices, check(rules, submission), bundle, dispatch, signed, outdated)


def _is_outdated(rules: Rules, submission: Submission, bundle: Bundle | None) -> bool:
    if bundle is None or bundle.state != Bundle.State.DONE:
        return False
    wanted = {(take.recording, take.name) for _, take in files_of(rules, submission)}
    return wanted != {(each["recording"], each["name"]) for each in bundle.contents}


def _agreed(entries: Sequence[Entry]) -> set[int]:
    """Students whose guardian's agreement stands, or who are of age."""
    students = Student.objects.filter(pk__in={entry.student_id for entry in entries}).with_account_facts()
    standing = students.filter(Q(consent_stands=True) | Q(is_minor=False))
    return set(standing.values_list("pk", flat=True))


def _every_take(entry: Entry) -> list[Take]:
    takes = Take.objects.filter(entry=entry).select_related("analysis", "requirement__excerpt")
    return list(takes.defer("analysis__result", "requirement__excerpt__musicxml"))
