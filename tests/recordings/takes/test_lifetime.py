from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.utils import timezone

from recordings import tasks
from recordings.models import Analysis, Mark, Review, Take
from recordings.takes.lifetime import expired_takes
from studio.services.consent import give_consent


@pytest.fixture
def last_day(take, season):
    """The last day on which the take is kept."""
    return season.ends_on + timedelta(days=season.keep_takes_days)


def test_kept_until_the_last_day(take, last_day):
    assert not expired_takes(last_day).exists()
    assert list(expired_takes(last_day + timedelta(days=1))) == [take]


def test_each_season_says_for_itself(take, season, last_day):
    season.keep_takes_days += 10
    season.save()
    assert not expired_takes(last_day + timedelta(days=1)).exists()


def long_ago(season) -> None:
    season.starts_on = timezone.localdate() - timedelta(days=500)
    season.ends_on = timezone.localdate() - timedelta(days=400)
    season.save()


def test_the_command_really_deletes(take, season, requirement, capsys, django_capture_on_commit_callbacks):
    review = Review.objects.create(take=take)
    Mark.objects.create(review=review, caption=requirement.rubric.captions.first(), value=5)
    name = take.sound.name
    long_ago(season)
    with django_capture_on_commit_callbacks(execute=True):
        call_command("delete_expired_takes")
    assert "1 takes were deleted" in capsys.readouterr().out
    assert not Take.objects.exists()
    assert not Analysis.objects.exists()
    assert not Review.objects.exists()
    assert not default_storage.exists(name)


def test_every_night(take, season, settings):
    long_ago(season)
    assert settings.CELERY_BEAT_SCHEDULE["delete-expired"]["task"] == tasks.delete_expired.name
    tasks.delete_expired()
    assert not Take.objects.exists()


def test_counting_deletes_nothing(take, season, capsys):
    long_ago(season)
    call_command("delete_expired_takes", "--only-count")
    assert "1 takes are kept no longer" in capsys.readouterr().out
    assert Take.objects.exists()


def test_a_running_season_is_left_alone(take):
    call_command("delete_expired_takes")
    assert Take.objects.exists()


@pytest.fixture
def promised(student, season, guardian):
    """The agreement as a guardian gives it on the page: the season's day stands in it."""
    student.consents.all().delete()
    give_consent(student, guardian)
    return season.keep_takes_until


def test_a_longer_time_set_later_does_not_stretch_the_promise(take, season, promised):
    season.keep_takes_days = 3650
    season.save()
    assert not expired_takes(promised).exists()
    assert list(expired_takes(promised + timedelta(days=1))) == [take]


def test_a_shorter_time_set_later_counts(take, season, promised):
    season.keep_takes_days = 10
    season.save()
    assert list(expired_takes(season.keep_takes_until + timedelta(days=1))) == [take]


def test_who_agrees_to_the_longer_time_is_kept_for_it(take, season, promised, guardian, as_user):
    season.keep_takes_days += 100
    season.save()
    address = f"/students/{take.entry.student.pk}/consent/"
    page = as_user(guardian).get(address).content.decode()
    assert "The studio asks to keep takes longer" in page
    assert as_user(guardian).post(address, {"agreed": "on"}).status_code == 302
    assert not expired_takes(promised + timedelta(days=1)).exists()
    assert take.entry.student.may_record
    assert take.entry.student.consents.count() == 2
    assert "asks to keep takes longer" not in as_user(guardian).get(address).content.decode()


def test_a_withdrawn_agreement_keeps_its_promise(take, season, promised, student):
    student.consents.get().withdraw()
    season.keep_takes_days = 3650
    season.save()
    assert list(expired_takes(promised + timedelta(days=1))) == [take]
