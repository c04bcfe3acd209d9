"""Thin doors for the workers: an id comes in, one plain function is called, safe to run twice."""

import logging
from threading import Thread

from celery import current_app, shared_task
from celery.signals import worker_ready
from django.utils import timezone

from recordings.jobs import queue, run
from recordings.leaving import copy, copy_queue, erase
from recordings.panels import sounds
from recordings.sending import bundle, bundle_queue
from recordings.sending import lifetime as lifetime_of_files
from recordings.sight import lifetime as lifetime_of_readings
from recordings.sight import measure as sight_reading
from recordings.sight import queue as sight_queue
from recordings.takes import deadlines, lifetime
from recordings.upload import left_behind, watch

log = logging.getLogger(__name__)


@shared_task(name=queue.MEASURE_TASK)
def measure(analysis_id: int) -> None:
    run.measure(analysis_id)


@shared_task(name="recordings.sweep", expires=60)
def sweep() -> None:
    queue.sweep()
    bundle_queue.sweep()
    sounds.sweep()
    copy_queue.sweep()
    erase.sweep()
    sight_queue.sweep()


@shared_task(name=bundle_queue.BUNDLE_TASK)
def make_bundle(bundle_id: int) -> None:
    bundle.make(bundle_id)


@shared_task(name=copy_queue.COPY_TASK)
def make_own_copy(copy_id: int) -> None:
    copy.make(copy_id)


@shared_task(name=erase.FINISH_TASK)
def finish_erasure(receipt_id: int) -> None:
    erase.finish(receipt_id)


@shared_task(name=sounds.CLEAN_TASK)
def clean_panel_sound(panel_take_id: int) -> None:
    sounds.clean(panel_take_id)


@shared_task(name=sight_queue.SIGHT_TASK)
def measure_sight_reading(reading_id: int) -> None:
    sight_reading.measure(reading_id)


@shared_task(name="recordings.delete_expired")
def delete_expired() -> None:
    count = lifetime.delete_expired(timezone.localdate())
    log.info("%s takes kept no longer were deleted.", count)
    copy_queue.forget_old()
    log.info("%s practice takes kept no longer were deleted.", lifetime_of_readings.delete_expired())


@shared_task(name="recordings.check_sounds")
def check_sounds() -> None:
    watch.tell_directors(watch.check_sounds())
    left_behind.sweep_sounds()
    lifetime_of_files.sweep_files()
    sounds.sweep_unclaimed()
    lifetime_of_readings.sweep_unclaimed()


@shared_task(name="recordings.sweep_parts", expires=3600)
def sweep_parts() -> None:
    left_behind.sweep_parts()
    left_behind.sweep_uploads()


@shared_task(name="recordings.remind", expires=3600)
def remind() -> None:
    log.info("%s reminders of deadlines were mailed.", deadlines.remind(timezone.now()))


@shared_task(name=watch.TELL_TASK)
def tell_directors() -> None:
    watch.tell_directors()


@worker_ready.connect
def warm_up(sender, **_kwargs) -> None:
    if current_app.conf.task_default_queue not in sender.app.amqp.queues.consume_from:
        return  # the mail's worker measures nothing
    # In a thread: a worker that is late with its first sign of life is taken for dead and killed.
    Thread(target=run.warm_up, name="warm-up", daemon=True).start()
