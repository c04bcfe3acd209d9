"""The sound listeners of a panel get: a copy with nothing in it but the playing.

What is handed in can tell who plays: names and places in the tags, a picture, the make of the phone, or just
the format. So each is decoded and written anew, all in one format, by a bounded process. The row is the job:
the message to the workers only says that it is there, and the sweep sends again.
"""

import json
import logging
import tempfile
from datetime import timedelta
from functools import partial
from pathlib import Path

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import F, Q
from django.db.models.functions import Now
from django.db.models.signals import post_delete
from django.dispatch import receiver

from recordings.models import Panel, PanelTake
from recordings.upload.left_behind import unclaimed
from recordings.upload.on_disk import on_disk
from repertoire.models import delete_for_good
from repertoire.notation.bounded import Ending, ProcessLimits, run
from studio.models.database_clock import from_now
from studio.setup.messages import tell_workers

log = logging.getLogger(__name__)

CLEAN_TASK = "recordings.clean_panel_sound"
MEDIA_TYPE = "audio/mp4"
# A take of 46 s was written in 0.6 s of one core; the limits are for files made to hurt.
CLEAN_TIMEOUT_S = 300
CLEAN_MEMORY_MB = 1500
MOST_ATTEMPTS = 3
# Longer than it may take: whoever took it up since then is gone.
GONE_AFTER = timedelta(seconds=CLEAN_TIMEOUT_S + 60)
UNCLAIMED_AGE = timedelta(hours=1)


def request_sounds(panel: Panel) -> None:
    """Tell the workers of a panel's waiting sounds as soon as all is stored."""
    for pk in panel.takes.values_list("pk", flat=True):
        transaction.on_commit(partial(_send, pk))


def _send(pk: int) -> None:
    tell_workers(CLEAN_TASK, pk)


def sweep() -> list[int]:
    """Send again for what waits and nobody is at; what was tried too often is given up."""
    idle = PanelTake.objects.waiting().filter(_nobody_at())
    idle.filter(attempts__gte=MOST_ATTEMPTS).update(sound_state=PanelTake.SoundState.FAILED)
    due = list(idle.filter(attempts__lt=MOST_ATTEMPTS).values_list("pk", flat=True))
    for pk in due:
        _send(pk)
    return due


def _nobody_at() -> Q:
    return Q(begun_at=None) | Q(begun_at__lt=from_now(-GONE_AFTER))


def clean(pk: int) -> bool:
    """Make one copy, if it is to be had; True where this call stored it."""
    claimed = PanelTake.objects.waiting().filter(_nobody_at(), pk=pk)
    if not claimed.update(begun_at=Now(), attempts=F("attempts") + 1):
        return False
    row = PanelTake.objects.select_related("take").get(pk=pk)
    with tempfile.TemporaryDirectory(prefix="panel-") as folder, on_disk(row.take) as source:
        target = Path(folder) / "clean"
        limits = ProcessLimits(time_s=CLEAN_TIMEOUT_S, memory_mb=CLEAN_MEMORY_MB)
        ended = run("recordings.panels.clean_child", str(source), str(target), limits=limits)
        if ended.how is not Ending.FINISHED or not json.loads(ended.output)["seconds"]:
            return _not_made(row, ended.how.value, passing=ended.how is Ending.KILLED)
        return _keep(row, target)


def _not_made(row: PanelTake, how: str, *, passing: bool) -> bool:
    log.warning("The sound of panel take %s could not be made ready: the process %s.", row.pk, how)
    if passing and row.attempts < MOST_ATTEMPTS:
        PanelTake.objects.filter(pk=row.pk).update(begun_at=None)
    else:
        PanelTake.objects.filter(pk=row.pk).update(sound_state=PanelTake.SoundState.FAILED)
    return False


def _keep(row: PanelTake, target: Path) -> bool:
    with target.open("rb") as made:
        name = default_storage.save(row.sound.field.generate_filename(row, ""), File(made))
    kept = PanelTake.objects.waiting().filter(pk=row.pk)
    stored = kept.update(sound=name, size=target.stat().st_size, sound_state=PanelTake.SoundState.READY)
    if not stored:  # the take was removed, or the panel closed, in the meantime
        default_storage.delete(name)
    return bool(stored)


def let_go(panel: Panel) -> None:
    """The copies of a closed panel: nobody hears them any more."""
    names = list(panel.takes.exclude(sound="").values_list("sound", flat=True))
    panel.takes.update(sound="", size=0)
    for name in names:
        transaction.on_commit(partial(default_storage.delete, name))


def sweep_unclaimed() -> int:
    """Delete copies that no row names, as a killed process can leave them; how many there were."""
    old = unclaimed("panels", PanelTake.objects.values_list("sound", flat=True), older_than=UNCLAIMED_AGE)
    for name in old:
        default_storage.delete(name)
    return len(old)


@receiver(post_delete, sender=PanelTake, dispatch_uid="recordings.delete_panel_sound")
def delete_sound(sender, instance: PanelTake, **_kwargs) -> None:
    """A copy goes with its row, and so with its take."""
    delete_for_good(instance.sound)
