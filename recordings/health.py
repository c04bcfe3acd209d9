"""What /healthz tells a monitor: the servers, room on the disks, the kept sounds, the age of the queue."""

import logging
import uuid

from celery import current_app
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection

from recordings.jobs.queue import oldest_waiting_s
from recordings.models import Take
from recordings.upload.room import is_low

logger = logging.getLogger(__name__)

# A queue older than this means that no worker is at work; an analysis itself takes a minute or two.
QUEUE_TOO_OLD_S = 900
BROKER_TIMEOUT_S = 3


def look() -> dict:
    """Each part's "ok" or "down", `queue_age_s` (null with nothing waiting), and `ok` over all."""
    parts = {name: _state_of(name, check) for name, check in CHECKS.items()}
    age_s = oldest_waiting_s() if parts["database"] == "ok" else None
    parts["room"] = "low" if is_low() else "ok"
    parts["sounds"] = _sounds() if parts["database"] == "ok" else "unknown"
    parts["queue"] = "slow" if age_s is not None and age_s > QUEUE_TOO_OLD_S else "ok"
    return {"ok": set(parts.values()) == {"ok"}, **parts, "queue_age_s": age_s}


def _sounds() -> str:
    """What the nightly check found: "damaged" where a take's sound is missing or not what was handed in."""
    return "damaged" if Take.objects.exclude(sound_state=Take.SoundState.WHOLE).exists() else "ok"


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
    name = default_storage.save(f"health/{uuid.uuid4().hex}", ContentFile(b"ok"))
    default_storage.delete(name)


CHECKS = {"database": _database, "broker": _broker, "storage": _storage}
