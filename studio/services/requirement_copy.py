"""Requirements copied from another audition, season or instrument: what would come of it, then done."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from repertoire.models import Excerpt, Rubric
from studio.models import Audition, Requirement

COPIED = (
    "marked_bpm", "low_bpm", "high_bpm", "with_repeats", "from_bar", "to_bar", "order_line", "may_be_stopped",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is copied where to; without `as_instrument` every instrument stays as it is."""

    source: Audition
    target: Audition
    instrument: str = ""
    level: str = ""
    as_instrument: str = ""
    as_level: str = ""


@dataclass(frozen=True, slots=True)
class Copied:
    """One requirement with what becomes of it: `made` is not stored yet, and None where `why` says so."""

    original: Requirement
    made: Requirement | None
    why: str = ""

    @property
    def is_over(self) -> bool:
        return self.made is not None and self.made.due_at < timezone.now()


def preview(wanted: Wanted) -> list[Copied]:
    """A line for each requirement of the source that is asked for; nothing is stored."""
    originals = wanted.source.requirements.select_related("excerpt", "rubric")
    if wanted.instrument:
        originals = originals.filter(instrument=wanted.instrument)
    if wanted.level:
        originals = originals.filter(level=wanted.level)
    return list(_copies(wanted, list(originals.order_by("instrument", "level", "due_at", "pk"))))


def copy(wanted: Wanted) -> int:
    """Store what the preview names, all or nothing; how many are new."""
    with transaction.atomic():
        # Two clicks at once must not double them.
        Audition.objects.select_for_update().get(pk=wanted.target.pk)
        new = [line.made for line in preview(wanted) if line.made]
        Requirement.objects.bulk_create(new)
    return len(new)


def _copies(wanted: Wanted, originals: list[Requirement]) -> Iterator[Copied]:
    there = {_sameness(requirement) for requirement in wanted.target.requirements.all()}
    forms, music = _current_forms(), _music_for(wanted.as_instrument, originals)
    for original in originals:
        excerpt = music.get(original.excerpt_id) if wanted.as_instrument else original.excerpt
        if excerpt is None:
            yield Copied(original, None, _("There is no such music for this instrument yet."))
            continue
        made = _made(wanted, original, excerpt, forms.get(original.rubric_id, original.rubric))
        if _sameness(made) in there:
            yield Copied(original, None, _("It is there already and stays as it is."))
            continue
        if wanted.as_instrument and not _can_be_played(made):
            yield Copied(original, None, _("The bars it asks for are not printed in the music found."))
            continue
        there.add(_sameness(made))
        yield Copied(original, made)


def _can_be_played(made: Requirement) -> bool:
    if not (made.from_bar or made.order_line):
        return True
    try:
        made.clean()
    except ValidationError:
        return False
    return True


def _made(wanted: Wanted, original: Requirement, excerpt: Excerpt, rubric: Rubric) -> Requirement:
    kept = {name: getattr(original, name) for name in COPIED}
    return Requirement(
        **kept,
        audition=wanted.target,
        instrument=wanted.as_instrument or original.instrument,
        level=wanted.as_level or original.level,
        excerpt=excerpt,
        rubric=rubric,
        due_at=shifted(original.due_at, wanted.source.closes_at, wanted.target.closes_at),
    )


def shifted(due_at: datetime, closes_before: datetime, closes_at: datetime) -> datetime:
    """As many days before the closing day, at the same hour of the studio's clock; never after closing."""
    days = timezone.localdate(closes_at) - timezone.localdate(closes_before)
    wall = timezone.make_naive(due_at) + timedelta(days=days.days)
    return min(timezone.make_aware(wall), closes_at)


def _sameness(requirement: Requirement) -> tuple:
    """Two requirements that ask the same music of the same students."""
    asked = (requirement.from_bar, requirement.to_bar, requirement.order_line)
    return requirement.instrument, requirement.level, requirement.excerpt_id, *asked


def _current_forms() -> dict[int, Rubric]:
    """By number, the version of a marking form that is in use now."""
    rubrics = {rubric.pk: rubric for rubric in Rubric.objects.all()}
    following = {rubric.replaces_id: rubric for rubric in rubrics.values() if rubric.replaces_id}
    for pk in list(rubrics):
        while rubrics[pk].pk in following:
            rubrics[pk] = following[rubrics[pk].pk]
    return rubrics


def _music_for(instrument: str, originals: list[Requirement]) -> dict[int, Excerpt]:
    """By the original's music, the same for `instrument`: the same scale sheet, else the same title."""
    if not instrument:
        return {}
    offered = list(Excerpt.objects.filter(instrument=instrument).defer("musicxml"))
    found = {}
    for original in originals:
        excerpt = original.excerpt
        alike = (other for other in offered if _is_alike(excerpt, other))
        found[excerpt.pk] = next(alike, None)
    return {pk: excerpt for pk, excerpt in found.items() if excerpt}


def _is_alike(excerpt: Excerpt, other: Excerpt) -> bool:
    if excerpt.kind != other.kind:
        return False
    if excerpt.scale_spec and other.scale_spec:
        return excerpt.scale_spec == other.scale_spec
    return (excerpt.title, excerpt.composer) == (other.title, other.composer)
