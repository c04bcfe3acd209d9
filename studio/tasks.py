"""Thin doors for the workers: ids come in, one plain function is called, safe to run twice."""

from celery import shared_task

from studio.models import BlockedContent, Event, Tries
from studio.services import mail, mail_delivery


@shared_task(name=mail.SEND_TASK, expires=3600)
def send_mail(mail_id: int) -> None:
    mail_delivery.deliver_new(mail_id)


@shared_task(name="studio.sweep_mail", expires=30)
def sweep_mail() -> None:
    mail_delivery.sweep()


@shared_task(name="studio.sweep_tries", expires=3600)
def sweep_tries() -> None:
    Tries.objects.forget_old()


@shared_task(name="studio.forget_events", expires=3600)
def forget_events() -> None:
    Event.objects.forget_old()
    BlockedContent.objects.forget_old()
