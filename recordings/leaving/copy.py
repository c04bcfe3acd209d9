"""One student's copy of everything: gathered, the sounds beside it, in one zip with checksums."""

import hashlib
import json
import logging
import shutil
import tempfile
import uuid
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from django.db.models import Sum
from django.utils import translation

from recordings.leaving import sentences as say
from recordings.leaving.gather import (
    Who,
    everything_of,
    handed_readings,
    has_reason_of_staff,
    has_unreleased,
    kept_to_oneself,
    takes_of,
    told_of,
    unheard_remarks,
)
from recordings.leaving.texts import agreements_of, answer_text, list_text
from recordings.models import OwnCopy, SightReading, Take
from recordings.sending.gather import FORMATS
from recordings.sending.keep import keep
from recordings.upload.on_disk import on_disk
from recordings.upload.room import has_room_for
from recordings.upload.stored import CHUNK, counted_hash
from recordings.wording.summary import summary
from studio.models import Student

log = logging.getLogger(__name__)


class _NoLonger(Exception):
    """The claim has passed to another, or the row is gone."""


class Packer:
    """Files put into one zip, each with its checksum; sound is stored as it is, since it hardly packs."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.sums: dict[str, str] = {}

    def text(self, name: str, content: str) -> None:
        data = content.encode()
        self._archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
        self.sums[name] = hashlib.sha256(data).hexdigest()

    def file(self, name: str, path: Path) -> None:
        with path.open("rb") as source, self._member(name) as member:
            shutil.copyfileobj(source, member, CHUNK)
        with path.open("rb") as source:
            _size, self.sums[name] = counted_hash(iter(lambda: source.read(CHUNK), b""))

    @contextmanager
    def _member(self, name: str) -> Iterator[IO[bytes]]:
        with self._archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as member:
            yield member


def make(copy_id: int) -> bool:
    """Make it if it is to be had; True where this call made it."""
    row = OwnCopy.objects.filter(pk=copy_id).first()
    worker = uuid.uuid4().hex
    if row is None or not row.claim_for(worker):
        return False
    student = Student.objects.select_related("teacher").get(pk=row.student_id)
    if not has_room_for(2 * _bytes_of(student)):
        row.mark_failed(worker, say.COPY_NO_ROOM())
        return False
    try:
        with (
            tempfile.TemporaryDirectory(prefix="copy-") as folder,
            translation.override(row.language or None),
        ):
            packed = _packed(row, worker, student, Path(folder) / "copy.zip")
            return keep(row, worker, packed)
    except _NoLonger:
        return False
    except Exception:
        row.mark_failed(worker, say.COPY_FAILED())
        raise


def _bytes_of(student: Student) -> int:
    takes, readings = Take.objects.filter(entry__student=student), handed_readings(student)
    return sum(rows.aggregate(sum=Sum("size"))["sum"] or 0 for rows in (takes, readings))


def _packed(row: OwnCopy, worker: str, student: Student, path: Path) -> Path:
    who, drafts = Who(student), 0
    told: list[dict] = []
    missing: list[str] = []
    count = Take.objects.filter(entry__student=student).count()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        packer = Packer(archive)
        for number, take in enumerate(takes_of(student), start=1):
            told.append(told_of(take, who))
            missing += _pack_take(packer, take, told[-1])
            drafts += has_unreleased(take)
            if not row.write_heartbeat(worker, progress_percent=round(95 * number / count)):
                raise _NoLonger
        for reading in handed_readings(student):
            sound = f"sounds/at-sight-{reading.pk}.{FORMATS.get(reading.media_type, 'bin')}"
            missing += _pack_sound(packer, reading, sound)
        for name, text in agreements_of(student).items():
            packer.text(name, text)
        everything = {**everything_of(student), "takes": told}
        packer.text("everything.json", json.dumps(everything, ensure_ascii=False, indent=1, default=str))
        head = list_text(
            student,
            sorted(packer.sums),
            missing=missing,
            drafts=drafts,
            unheard=unheard_remarks(student),
            kept_to_oneself=kept_to_oneself(student),
            has_reason=has_reason_of_staff(student),
        )
        packer.text("list.txt", head)
        sums = "".join(f"{digest}  {name}\n" for name, digest in packer.sums.items())
        archive.writestr(zipfile.ZipInfo("SHA256SUMS"), sums)
    return path


def _pack_take(packer: Packer, take: Take, told: dict) -> list[str]:
    """Names of what the storage no longer has."""
    sound = f"sounds/{take.pk}.{FORMATS.get(take.media_type, 'bin')}"
    result = getattr(getattr(take, "analysis", None), "result", None)
    if result:
        packer.text(f"measured/{take.pk}.json", json.dumps(result, ensure_ascii=False))
        packer.text(f"measured/{take.pk}.txt", _in_words(result))
    if told["answer"]:
        packer.text(f"answers/{take.pk}.txt", answer_text(told))
    return _pack_sound(packer, take, sound)


def _pack_sound(packer: Packer, row: Take | SightReading, name: str) -> list[str]:
    try:
        with on_disk(row) as path:
            packer.file(name, path)
    except FileNotFoundError:
        log.warning("The sound of %s is missing and not in a copy.", row)
        return [name]
    return []


def _in_words(result: dict) -> str:
    try:
        return summary(result) + "\n"
    except KeyError:
        return ""  # of a version that is no longer put into words; the data lies beside it
