"""What a cut-off upload or a killed process leaves behind: found, swept, counted for the health page.

Parts of uploads lie in the incoming folder of the machine that took them; a sound without a row lies in the
storage, where no date of deletion reaches it. Both go once they are too old to belong to anything at work.
"""

import contextlib
import logging
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.core.cache import caches
from django.core.files.storage import default_storage
from django.db.models import QuerySet
from django.utils import timezone

from recordings.models import Take, Upload, UploadPart
from recordings.models.upload import LIFETIME

log = logging.getLogger(__name__)

# A part grows while its upload lives; an hour without a byte is no upload any more.
PART_AGE_S = 3600
# The bytes are there before the row, for as long as looking at them takes; a day is far beyond.
UNCLAIMED_AGE = timedelta(days=1)
# A process killed at the wrong moment leaves one. Many at once mean another database (an older one put
# back, a wrong address), and then the sounds are the only thing left of those takes.
MOST_SWEPT = 3
UNCLAIMED_KEY, REMEMBERED_S = "unclaimed-sounds", 3 * 24 * 3600


def old_parts() -> list[Path]:
    """Parts of uploads in this machine's incoming folder that nothing has been added to for an hour."""
    oldest = time.time() - PART_AGE_S
    found = []
    for path in Path(settings.FILE_UPLOAD_TEMP_DIR).glob("*"):
        with contextlib.suppress(FileNotFoundError):
            if path.is_file() and path.stat().st_mtime < oldest:
                found.append(path)
    return found


def sweep_parts() -> int:
    """Delete them; how many there were."""
    parts = old_parts()
    for path in parts:
        path.unlink(missing_ok=True)
    if parts:
        log.info("%s parts of cut-off uploads were deleted.", len(parts))
    return len(parts)


def names_below(folder: str = "") -> Iterator[str]:
    """Every file of the storage in this folder and below it."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    below = f"{folder}/" if folder else ""
    yield from (below + name for name in files)
    for name in folders:
        yield from names_below(below + name)


def unclaimed(folder: str, named: QuerySet, *, older_than: timedelta) -> list[str]:
    """Files of the storage in `folder`, older than that, which none of the rows in `named` names."""
    # The files first, the rows second: what is stored in between is claimed, never the other way about.
    kept = list(names_below(folder))
    claimed, before = set(named), timezone.now() - older_than
    return [name for name in kept if name not in claimed and default_storage.get_modified_time(name) < before]


def sweep_uploads() -> int:
    """Delete uploads that were not finished in their time, with their pieces; how many there were."""
    expired = list(Upload.objects.expired())
    for upload in expired:
        upload.delete()
    # A piece without a row: whichever database its upload stands in, it has expired there too.
    pieces = UploadPart.objects.values_list("file", flat=True)
    for name in unclaimed("parts", pieces, older_than=LIFETIME + UNCLAIMED_AGE):
        default_storage.delete(name)
    if expired:
        log.info("%s uploads that were not finished in time were deleted.", len(expired))
    return len(expired)


def unclaimed_sounds(*, older_than: timedelta = UNCLAIMED_AGE) -> list[str]:
    """Names in the storage of sounds older than a day that no take points at."""
    return unclaimed("takes", Take.objects.values_list("sound", flat=True), older_than=older_than)


def sweep_sounds(*, however_many: bool = False) -> int:
    """Delete sounds without a row; how many stay because they are too many to be left-overs."""
    unclaimed = unclaimed_sounds()
    many = len(unclaimed) > min(MOST_SWEPT, Take.objects.count())
    stay = len(unclaimed) if many and not however_many else 0
    if stay:
        log.error("%s sounds have no take: is this the right database? None was deleted.", stay)
    else:
        for name in unclaimed:
            default_storage.delete(name)
            log.warning("A sound without a take was deleted.")
    remember_unclaimed(stay)
    return stay


def remember_unclaimed(count: int) -> None:
    """For the health page, until the next look."""
    caches["default"].set(UNCLAIMED_KEY, count, REMEMBERED_S)


def unclaimed_at_last_sweep() -> int:
    """What `sweep_sounds` left lying; 0 where it is not known."""
    try:
        return caches["default"].get(UNCLAIMED_KEY, 0)
    except Exception as error:  # each cache has its own; the health page answers with any of them away
        log.warning("The cache is away: %s", type(error).__name__)
        return 0
