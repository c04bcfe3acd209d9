"""Rows against files, both ways, by name: for the person at the terminal, and for the health page."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from recordings.models import Take
from recordings.upload import left_behind, watch
from repertoire.models import Attachment


@dataclass(frozen=True, slots=True)
class Found:
    missing: tuple[int, ...]  # takes without their sound
    changed: tuple[int, ...]  # takes whose sound is not what was handed in
    pages: tuple[int, ...]  # pages without their file
    unclaimed: tuple[str, ...]  # sounds without their take

    @property
    def is_well(self) -> bool:
        return not (self.missing or self.changed or self.pages or self.unclaimed)

    def sentences(self) -> Iterator[str]:
        yield from (f"take {pk}: its sound is missing." for pk in self.missing)
        yield from (f"take {pk}: its sound is not what was handed in." for pk in self.changed)
        yield from (f"page {pk}: its file is missing." for pk in self.pages)
        yield from (f"{name}: no take has this sound." for name in self.unclaimed)


def look(*, at_once: bool = False) -> Found:
    """Compare every byte of every sound.

    Sounds not yet a day old may belong to an upload on its way: they are told only with `at_once`, where
    nobody can be uploading.
    """
    watch.check_sounds(everything=True)
    not_whole = Take.objects.exclude(sound_state=Take.SoundState.WHOLE).order_by("pk")
    states = dict(not_whole.values_list("pk", "sound_state"))
    age = timedelta(0) if at_once else left_behind.UNCLAIMED_AGE
    unclaimed = left_behind.unclaimed_sounds(older_than=age)
    left_behind.remember_unclaimed(len(unclaimed))
    return Found(
        missing=tuple(pk for pk, state in states.items() if state == Take.SoundState.MISSING),
        changed=tuple(pk for pk, state in states.items() if state == Take.SoundState.CHANGED),
        pages=tuple(page.pk for page in Attachment.objects.order_by("pk") if not _lies_there(page)),
        unclaimed=tuple(unclaimed),
    )


def _lies_there(page: Attachment) -> bool:
    name = page.file.name
    return bool(name and page.file.storage.exists(name))
