"""What /healthz tells a monitor: servers, room on the disks, the kept sounds, the age of the queue, mail."""

import logging
import os
from pathlib import Path

from celery import current_app
from django.core.files.storage import default_storage
from django.db import connection

from recordings.jobs.queue import oldest_waiting_s
from recordings.models import Take, Upload
from recordings.upload import left_behind
from recordings.upload.room import existing, is_low
from studio.models import BlockedContent
from studio.services.mail_state import mail_state

logger = logging.getLogger(__name__)

# A queue older than this means that no worker is at work; an analysis itself takes a minute or two.
QUEUE_TOO_OLD_S = 900
BROKER_TIMEOUT_S = 3


def look() -> dict:
    """Each part's "ok" or what is wrong, the numbers behind it (no age: nothing waits), `ok` over all."""
    parts = {name: _state_of(name, check) for name, check in CHECKS.items()}
    age_s = oldest_waiting_s() if parts["database"] == "ok" else None
    parts["room"] = "low" if is_low() else "ok"
    unclaimed = left_behind.unclaimed_at_last_sweep()
    parts["sounds"] = _sounds(unclaimed) if parts["database"] == "ok" else "unknown"
    parts["queue"] = "slow" if age_s is not None and age_s > QUEUE_TOO_OLD_S else "ok"
    held_up = mail_state().held_up if parts["database"] == "ok" else 0
    parts["mail"] = "held up" if held_up else "ok"
    on_their_way, expired = _uploads() if parts["database"] == "ok" else (0, 0)
    left = len(left_behind.old_parts()) + unclaimed + expired
    numbers = {
        "content_blocked": BlockedContent.objects.lately() if parts["database"] == "ok" else 0,
        "queue_age_s": age_s,
        "left_behind": left,
        "mail_held_up": held_up,
        "uploads_on_their_way": on_their_way,
    }
    return {"ok": set(parts.values()) == {"ok"}, **parts, **numbers}


def _uploads() -> tuple[int, int]:
    """Those not yet whole, and those whose time is over though nobody swept them."""
    return Upload.objects.unfinished().count(), Upload.objects.expired().filter(take=None).count()


def _sounds(unclaimed: int) -> str:
    """What the nightly check found: "damaged" where a take's sound is missing or not what was handed in,
    "unclaimed" where so many sounds have no take that this may be the wrong database."""
    if Take.objects.exclude(sound_state=Take.SoundState.WHOLE).exists():
        return "damaged"
    return "unclaimed" if unclaimed else "ok"


def _state_of(name: str, check) -> str:
    try:
        check()
    except Exception as error:
        logger.error("Health: %s is down: %s", name, type(error).__name__)
        return "down"
    return "ok"


def _database() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")


def _broker() -> None:
    with current_app.connection_for_write() as broker:
        broker.ensure_connection(max_retries=1, interval_start=0, timeout=BROKER_TIMEOUT_S)


def _storage() -> None:
    # Asked and not tried: anybody may call this page, and each call would write.
    try:
        folder = existing(Path(default_storage.path("")))
    except NotImplementedError:
        default_storage.exists("health")
        return
    if not os.access(folder, os.W_OK | os.X_OK):
        raise PermissionError


CHECKS = {"database": _database, "broker": _broker, "storage": _storage}
