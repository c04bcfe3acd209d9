"""Long music is engraved aside: in a bounded process, few at once on a machine, its result kept by its key.

A web request waits for it a little. Where it takes longer the work goes on without the request, which is
answered by a page that asks again by itself (`studio.setup.drawing`).
"""

import json
import logging
import threading
import zlib
from concurrent.futures import Future
from typing import Any

from django.conf import settings
from django.core.cache import caches

from repertoire.notation.bounded import Ending, ProcessLimits, run
from repertoire.notation.slots import place

# Choices, by measuring: below, a fresh process would cost more than it spares.
ASIDE_NOTES = 1000
PLACES = 2
WAIT_S = 2.0
WAIT_AT_ONCE = 3  # threads of one web process that wait; further requests are told to ask again at once
LIMITS = ProcessLimits(time_s=45.0, memory_mb=1200)
KEEP_S = 7 * 24 * 3600
FAILED_S = 3600  # a new attempt before would only fail again
FAILED = b""

logger = logging.getLogger(__name__)
_lock = threading.Lock()
_waiting = threading.BoundedSemaphore(WAIT_AT_ONCE)
_at_work: dict[str, Future] = {}


class DrawingLater(Exception):
    """The music is still being drawn, or waits for a place: ask again."""


class CannotBeDrawn(Exception):
    """Drawing reached a limit or crashed."""


def drawn_aside(key: str, musicxml: str, options: dict[str, Any]) -> list[str]:
    """The drawings of these options, made now or before; raises `DrawingLater` or `CannotBeDrawn`."""
    kept = caches["drawings"].get(key)
    if kept is None:
        if not _waiting.acquire(blocking=False):
            raise DrawingLater
        try:
            kept = _begun(key, musicxml, options).result(timeout=WAIT_S)
        except TimeoutError as error:
            raise DrawingLater from error
        finally:
            _waiting.release()
    if kept == FAILED:
        raise CannotBeDrawn
    return json.loads(zlib.decompress(kept))


def _begun(key: str, musicxml: str, options: dict[str, Any]) -> Future:
    with _lock:
        work = _at_work.get(key)
        if work is None:
            work = _at_work[key] = Future()
            threading.Thread(target=_draw, args=(work, key, musicxml, options), daemon=True).start()
    return work


def _draw(work: Future, key: str, musicxml: str, options: dict[str, Any]) -> None:
    try:
        with place(settings.DATA_DIR / "at-once", "drawing", places=PLACES, wait_s=WAIT_S) as is_free:
            if not is_free:
                raise DrawingLater
            work.set_result(_kept(key, musicxml, options))
    except BaseException as error:
        work.set_exception(error)
    finally:
        with _lock:
            del _at_work[key]


def _kept(key: str, musicxml: str, options: dict[str, Any]) -> bytes:
    kept = caches["drawings"].get(key)  # another process may have drawn it meanwhile
    if kept is not None:
        return kept
    data = json.dumps({"musicxml": musicxml, "options": options}).encode()
    ended = run("repertoire.notation.draw.child", limits=LIMITS, data=data)
    if ended.how is Ending.KILLED:
        raise DrawingLater
    if ended.how is not Ending.FINISHED:
        logger.warning("Long music was not drawn: %s", ended)
    drawn = ended.output if ended.how is Ending.FINISHED else FAILED
    caches["drawings"].set(key, drawn, KEEP_S if drawn else FAILED_S)
    return drawn
