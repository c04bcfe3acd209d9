import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.setup.settings")

app = Celery("studio")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
