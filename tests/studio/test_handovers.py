from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from studio.access import may_teach
from studio.models import Event, Handover, Student
from tests.conftest import make_person

TODAY, TOMORROW = timedelta(0), timedelta(days=1)


def over(teacher, colleague, *, begins=TODAY, ends=TOMORROW) -> Handover:
    today = timezone.localdate()
    return Handover.objects.create(
        teacher=teacher, colleague=colleague, from_day=today + begins, until_day=today + ends
    )


def typed(colleague, *, begins=TODAY, ends=TOMORROW, **more) -> dict:
    today = timezone.localdate()
    return {"colleague": colleague.pk, "from_day": today + begins, "until_day": today + ends, **more}


@pytest.mark.parametrize(
    ("begins", "ends", "sees"),
    [
        (TODAY, TODAY, True),
        (-TOMORROW, TODAY, True),
        (TODAY, TOMORROW, True),
        (TOMORROW, TOMORROW, False),
        (-2 * TOMORROW, -TOMORROW, False),
    ],
)
def test_a_colleague_stands_in_from_the_first_day_to_the_last(
    student, teacher, other_teacher, begins, ends, sees
):
    over(teacher, other_teacher, begins=begins, ends=ends)
    assert Student.objects.visible_to(other_teacher).filter(pk=student.pk).exists() is sees
    assert may_teach(other_teacher, student) is sees


def test_what_is_handed_on_is_only_ones_own(student, teacher, other_teacher, studio):
    third = make_person("Third Hand", "teacher")
    over(teacher, other_teacher)
    over(other_teacher, third)
    assert not may_teach(third, student)
    assert not Student.objects.visible_to(third).filter(pk=student.pk).exists()


def test_who_teaches_no_more_does_not_stand_in(student, teacher, other_teacher):
    over(teacher, other_teacher)
    other_teacher.roles.all().delete()
    other_teacher.__dict__.pop("_role_names", None)
    assert not may_teach(other_teacher, student)


def test_a_teacher_hands_over_their_own_and_ends_it_early(as_user, student, teacher, other_teacher, director):
    browser = as_user(teacher)
    browser.post(reverse("handover_add"), typed(other_teacher, teacher=director.pk))
    made = Handover.objects.get()
    assert (made.teacher, made.colleague, made.made_by) == (teacher, other_teacher, teacher)
    assert may_teach(other_teacher, student)
    assert as_user(other_teacher).post(reverse("handover_end", args=[made.pk])).status_code == 403
    browser.post(reverse("handover_end", args=[made.pk]))
    browser.post(reverse("handover_end", args=[made.pk]))
    assert not may_teach(other_teacher, student)
    told = Event.objects.filter(kind__startswith="hand").order_by("pk")
    assert list(told.values_list("kind", "by_number", "about_number")) == [
        (Event.Kind.HANDED_OVER, teacher.pk, teacher.pk),
        (Event.Kind.HANDOVER_ENDED, teacher.pk, teacher.pk),
    ]


def test_a_director_hands_over_for_somebody_who_is_away(as_user, student, teacher, other_teacher, director):
    as_user(director).post(reverse("handover_add"), typed(other_teacher, teacher=teacher.pk))
    assert may_teach(other_teacher, student)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"begins": TOMORROW, "ends": TODAY}, "must not lie before the first"),
        ({"begins": -3 * TOMORROW, "ends": -TOMORROW}, "over already"),
        ({"ends": timedelta(days=200)}, "Three months at most"),
    ],
)
def test_days_that_cannot_be_are_said_at_their_field(as_user, teacher, other_teacher, wrong, sentence):
    page = as_user(teacher).post(reverse("handover_add"), typed(other_teacher, **wrong))
    assert sentence in page.content.decode()
    assert not Handover.objects.exists()


def test_nobody_hands_over_to_themselves(as_user, director, teacher):
    page = as_user(director).post(reverse("handover_add"), typed(teacher, teacher=teacher.pk))
    assert "somebody else" in page.content.decode()
    as_user(teacher).post(reverse("handover_add"), typed(teacher))
    assert not Handover.objects.exists()


def test_the_list_asks_as_often_for_many(as_user, teacher, other_teacher, django_assert_max_num_queries):
    for days in range(30):
        over(teacher, other_teacher, ends=timedelta(days=days))
    browser = as_user(teacher)
    with django_assert_max_num_queries(8):
        page = browser.get(reverse("handover_list")).content.decode()
    assert page.count("Anselm Birke to Petra Lohe") == 25
