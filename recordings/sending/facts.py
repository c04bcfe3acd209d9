"""What the rules are held against, and what comes of it. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from recordings.sending.ways import Source
from repertoire.notation.sentence import Sentence
from studio.sending.rules import FilePlan, Rules


class Verdict(StrEnum):
    KEPT = "kept"
    BROKEN = "broken"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Check:
    verdict: Verdict
    sentence: Sentence


@dataclass(frozen=True, slots=True)
class ChosenTake:
    """The take to send for one requirement. `recording` is its hash; `made_bytes` the made file's size."""

    source: Source
    recording: str
    name: str
    complete: bool | None = None
    whole: bool = True
    made_bytes: int | None = None


@dataclass(frozen=True, slots=True)
class Item:
    music: str
    take: ChosenTake | None


@dataclass(frozen=True, slots=True)
class Submission:
    """Everything the rules are held against, at the moment `at`; `person` holds the words of a name."""

    items: tuple[Item, ...]
    at: datetime
    closes_at: datetime
    person: tuple[str, ...] = ()
    agreed: bool = True
    is_minor: bool = True
    listened: bool = False
    student_signed: bool = False
    guardian_signed: bool = False


Found = Iterator[Check]


def files_of(rules: Rules, submission: Submission) -> list[tuple[str, ChosenTake]]:
    """What is sent, with the music it is named by: one file where the body takes only one."""
    chosen = [(item.music, item.take) for item in submission.items if item.take]
    return chosen[:1] if rules.files == FilePlan.ONE else chosen


def kept(sentence: Sentence) -> Check:
    return Check(Verdict.KEPT, sentence)


def broken(sentence: Sentence) -> Check:
    return Check(Verdict.BROKEN, sentence)


def left_open(sentence: Sentence) -> Check:
    return Check(Verdict.OPEN, sentence)


def or_kept(found: list[Check], sentence: Sentence) -> list[Check]:
    return found or [kept(sentence)]
