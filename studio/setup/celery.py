import os

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

# kombu finds a transport by the scheme of the broker's address.
TRANSPORT_ALIASES["folder"] = "studio.setup.broker:Transport"

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.setup.settings")

app = Celery("studio")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
