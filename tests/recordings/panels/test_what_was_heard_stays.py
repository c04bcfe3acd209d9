"""A take a panel has written about is not taken out from under its listeners."""

import pytest
from django.utils import timezone

from recordings.models import PanelSheet, Take
from recordings.takes.lifetime import remove_take

pytestmark = pytest.mark.django_db


def test_a_student_does_not_remove_what_a_listener_has_written_about(panel, takes, student_user):
    sheet = PanelSheet.objects.filter(panel_take__take=takes[0]).first()
    PanelSheet.objects.filter(pk=sheet.pk).update(remark="The last bars sang.", saved_at=timezone.now())

    assert "panel" in remove_take(takes[0], by=student_user)
    assert PanelSheet.objects.get(pk=sheet.pk).remark == "The last bars sang."


def test_a_student_removes_what_no_listener_has_written_about(panel, takes, student_user):
    assert remove_take(takes[0], by=student_user) == ""
    assert not Take.objects.filter(pk=takes[0].pk).exists()


def test_a_director_removes_any_take_of_a_panel(panel, takes, director):
    PanelSheet.objects.filter(panel_take__take=takes[0]).update(saved_at=timezone.now())

    assert remove_take(takes[0], by=director) == ""
