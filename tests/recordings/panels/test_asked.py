"""Who is asked to listen is mailed once: where, how many, nothing about who plays."""

import pytest
from django.urls import reverse

from recordings.models import Panel
from recordings.panels.asked import tell_listener
from tests.mails import delivered

pytestmark = pytest.mark.django_db


def test_every_listener_is_told_where_the_panel_is_and_how_many_takes(panel, teacher, listeners, takes):
    mails = {mail.to[0]: mail for mail in delivered()}
    assert set(mails) == {user.email for user in listeners}
    told = mails[teacher.email]
    assert "Linden Studio: takes to hear blind" in told.subject
    assert f"{panel.listeners.get(user=teacher).sheets.count()} takes" in told.body
    assert reverse("panel_listen", args=[panel.pk]) in told.body
    for take in takes:
        assert take.entry.student.name not in told.subject + told.body


def test_in_their_own_language(teacher, takes, audition, rubric, director):
    teacher.language = "de"
    teacher.save()
    panel = Panel(audition=audition, name="Herbst", rubric=rubric, made_by=director)
    panel.save()
    panel.listeners.create(user=teacher)
    tell_listener(panel.listeners.get())
    assert "Aufnahmen ohne Namen" in delivered()[-1].subject


def test_who_set_it_up_is_not_told(as_user, director, audition, rubric, takes):
    director.grant("teacher")
    typed = {"name": "Own ears", "group": "", "rubric": rubric.pk, "listeners": [director.pk]}
    as_user(director).post(reverse("panel_add", args=[audition.pk]), typed)
    assert Panel.objects.get().listeners.get().user == director
    assert not delivered()


def test_a_teacher_added_later_is_told(as_user, director, panel, third_teacher, listeners):
    panel.listeners.get(user=third_teacher).delete()
    before = len(delivered())
    typed = {"name": third_teacher.name, "email": third_teacher.email}
    as_user(director).post(reverse("panel_listener_add", args=[panel.pk]), typed)
    assert [mail.to for mail in delivered()[before:]] == [[third_teacher.email]]


def test_a_panel_without_listeners_says_so(as_user, director, audition, rubric, takes):
    typed = {"name": "Empty seats", "group": "", "rubric": rubric.pk}
    page = as_user(director).post(reverse("panel_add", args=[audition.pk]), typed, follow=True)
    assert "Nobody listens in it yet" in page.content.decode()
