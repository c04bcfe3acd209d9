"""Thin doors for the workers: ids come in, one plain function is called, safe to run twice."""

from datetime import datetime

from celery import shared_task

from studio.services import notices
from studio.services.mail import MailNotSent


@shared_task(name=notices.NOTIFY_TASK, autoretry_for=(MailNotSent,), max_retries=6, retry_backoff=60)
def notify(kind: str, student_id: int, about: str, path: str, at: str) -> None:
    notices.mail_those_concerned(kind, student_id, about, path, datetime.fromisoformat(at))
