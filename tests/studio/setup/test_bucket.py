"""A bucket that is away is trouble that passes: pages say so, and no take is called unmeasurable for it."""

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.urls import reverse

from recordings.jobs import run
from recordings.models import Analysis, Take
from studio.setup.bucket import Bucket
from studio.setup.outage import StorageAway
from tests.running import free_port


@pytest.fixture
def away(monkeypatch):
    """A bucket at an address where nobody answers."""
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "for-this-test")
    bucket = Bucket(
        bucket_name="sounds", endpoint_url=f"http://127.0.0.1:{free_port()}", region_name="eu-central-1"
    )
    bucket.client_config = bucket.client_config.merge(type(bucket.client_config)(retries={"max_attempts": 1}))
    return bucket


@pytest.mark.parametrize(
    "ask",
    [
        lambda bucket: bucket.open("takes/a"),
        lambda bucket: bucket.save("takes/a", ContentFile(b"sound")),
        lambda bucket: bucket.exists("takes/a"),
        lambda bucket: bucket.size("takes/a"),
        lambda bucket: bucket.delete("takes/a"),
        lambda bucket: bucket.listdir("takes"),
    ],
    ids=["open", "save", "exists", "size", "delete", "listdir"],
)
def test_whatever_is_asked_of_it_is_trouble_as_with_a_folder(away, ask):
    with pytest.raises(StorageAway):
        ask(away)


@pytest.fixture
def take(db, entry, requirement, student_user):
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        uploaded_by=student_user,
        sound=ContentFile(b"sound", name="take"),
        sha256="0" * 64,
        size=5,
        media_type="audio/flac",
    )
    Analysis.objects.create(take=take)
    return take


@pytest.fixture
def sounds_away(take, away, monkeypatch):
    monkeypatch.setattr(storages["default"], "_wrapped", away, raising=False)
    monkeypatch.setattr(Take._meta.get_field("sound"), "storage", away)


def test_its_take_is_measured_later(take, sounds_away):
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.WAITING


def test_a_page_that_needs_it_asks_to_try_again(take, sounds_away, as_user, student_user):
    client = as_user(student_user)
    client.raise_request_exception = False
    answer = client.get(reverse("take_sound", args=[take.pk]))
    assert answer.status_code == 503
    assert answer["Retry-After"]
