"""An entry is not removed with what was sent of it, nor from under a recording on its way."""

import pytest
from django.urls import reverse

from recordings.models import Dispatch, Upload

pytestmark = pytest.mark.django_db


def test_an_entry_that_was_sent_stays_without_its_takes(client, director, entry):
    Dispatch.objects.create(entry=entry, sent_by=director, confirmation="Received, number 4711")
    client.force_login(director)

    answer = client.post(reverse("entry_remove", args=[entry.pk]), follow=True)

    assert Dispatch.objects.filter(entry=entry).exists()
    assert "sent off" in answer.content.decode()


@pytest.mark.parametrize(
    ("name", "about"), [("entry_remove", "entry"), ("requirement_remove", "requirement")]
)
def test_what_a_recording_on_its_way_is_for_stays(
    client, director, student_user, entry, requirement, name, about
):
    upload = Upload.objects.create(
        person=student_user, entry=entry, requirement=requirement, size=9, sha256="0" * 64, offset=5
    )
    client.force_login(director)
    pk = {"entry": entry.pk, "requirement": requirement.pk}[about]

    answer = client.post(reverse(name, args=[pk]), follow=True)

    assert Upload.objects.filter(pk=upload.pk).exists()
    assert "on its way" in answer.content.decode()
