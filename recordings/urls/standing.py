from django.urls import path

from recordings.views.readiness import readiness

urlpatterns = [path("readiness/", readiness, name="readiness")]
