"""Guests: invited for one panel, find nothing but it, and are gone when it closes."""

import re

import pytest
from django.core import mail
from django.urls import get_resolver, reverse

from recordings.models import PanelListener
from recordings.panels import sounds
from recordings.panels.closing import close_panel
from recordings.panels.draw import deal
from studio.models import Invitation, OutgoingMail, Role, User
from studio.services.mail_delivery import deliver_new
from tests.access_table import TABLE
from tests.conftest import make_person

pytestmark = pytest.mark.django_db
GUEST = {"name": "Ilse Ferber", "email": "ilse@outside.example"}


@pytest.fixture
def add(as_user, director, panel):
    """`add(**typed)`: what the director sends."""
    address = reverse("panel_listener_add", args=[panel.pk])
    return lambda **typed: as_user(director).post(address, {**GUEST, **typed})


@pytest.fixture
def come(add, as_user):
    """`come()`: the guest is invited, opens the link of the mail, and is signed in."""

    def invited_and_there():
        add()
        deliver_new(OutgoingMail.objects.latest("pk").pk)
        [link] = re.findall(r"/invitation/\S+", mail.outbox[-1].body)
        browser = as_user(None)
        answer = browser.post(link, {"name": GUEST["name"], "access": "code"}, follow=True)
        assert answer.status_code == 200
        return browser

    return invited_and_there


def test_the_mail_says_what_it_is_for(add):
    assert add().status_code == 302
    deliver_new(OutgoingMail.objects.latest("pk").pk)
    assert "mock audition" in mail.outbox[-1].body
    assert mail.outbox[-1].to == [GUEST["email"]]


def test_a_guest_hears_every_take_and_marks(come, panel, rubric):
    browser = come()
    listener = panel.listeners.get(user__email=GUEST["email"])
    assert listener.sheets.count() == 3
    sheet = listener.sheets.first()
    address = reverse("panel_sheet", args=[panel.pk, sheet.panel_take.code])
    sounds.clean(sheet.panel_take_id)
    assert browser.get(f"{address}sound").status_code == 200
    browser.post(address, {f"mark-{caption.pk}": "6" for caption in rubric.captions.all()})
    assert sheet.marks.count() == 3


def test_a_guest_finds_no_other_page(come, panel, takes, audition, season, settings, requirement):
    """Every address of the table that the guest may not open, whatever number stands in it."""
    browser = come()
    numbers = {
        "take": takes[0].pk, "entry": takes[0].entry_id, "requirement": requirement.pk, "panel": panel.pk,
        "student": takes[0].entry.student_id, "audition": audition.pk, "season": season.pk,
        "excerpt": requirement.excerpt_id, "rubric": requirement.rubric_id, "code": "B22",
    }  # fmt: skip
    rows = [row.split()[:3] for row in TABLE.strip().splitlines()]
    names = {(name, objects) for method, name, objects in rows if method == "GET"}
    closed = [(name, objects) for name, objects in names if name not in settings.GUEST_PAGES]
    seen = {}
    for name, objects in closed:
        wanted = [] if objects == "-" else [numbers.get(each, 1) for each in objects.split(",")]
        seen[name] = browser.get(reverse(name, args=wanted)).status_code
    assert len(seen) > 60
    assert set(seen.values()) == {404}, {name: status for name, status in seen.items() if status != 404}
    assert browser.get(reverse("account")).status_code == 200
    assert browser.get(reverse("home")).url == reverse("panel_list")


def test_the_pages_named_for_guests_exist(settings):
    names = {key for key in get_resolver().reverse_dict if isinstance(key, str)}
    assert names >= settings.GUEST_PAGES


def test_with_the_closing_the_account_ends(come, panel, rubric):
    browser = come()
    close_panel(panel)
    guest = User.objects.get(email=GUEST["email"])
    assert not guest.is_active
    assert browser.get(reverse("panel_list")).status_code == 302
    assert panel.listeners.get(user=guest).name == GUEST["name"]


def test_an_invitation_not_taken_up_ends_too(add, panel, as_user):
    add()
    close_panel(panel)
    assert not Invitation.objects.open().exists()


def test_a_guest_of_two_panels_stays_until_the_last(come, add, panel, audition, rubric, director):
    come()
    guest = User.objects.get(email=GUEST["email"])
    other = type(panel).objects.create(audition=audition, name="Other", rubric=rubric, made_by=director)
    PanelListener.objects.create(panel=other, user=guest, invited_name=guest.name)
    close_panel(panel)
    guest.refresh_from_db()
    assert guest.is_active


def test_a_guest_of_before_can_come_again(come, panel, audition, rubric, director, as_user):
    come()
    close_panel(panel)
    guest = User.objects.get(email=GUEST["email"])
    other = type(panel).objects.create(audition=audition, name="Other", rubric=rubric, made_by=director)
    as_user(director).post(reverse("panel_listener_add", args=[other.pk]), GUEST)
    guest.refresh_from_db()
    assert guest.is_active
    deliver_new(OutgoingMail.objects.latest("pk").pk)
    [link] = re.findall(r"/invitation/\S+", mail.outbox[-1].body)
    as_user(guest).post(link)
    assert other.listeners.get().user == guest


def test_a_teacher_of_the_studio_listens_at_once(add, panel, studio):
    late = make_person("Nele Hagen", Role.TEACHER)
    add(email=late.email)
    assert panel.listeners.get(user=late).sheets.count() == 3
    assert not Invitation.objects.exists()


@pytest.mark.parametrize("person", ["student_user", "guardian"])
def test_nobody_elses_family_listens(request, add, person, panel):
    page = add(email=request.getfixturevalue(person).email)
    assert "does not teach" in page.text
    assert panel.listeners.count() == 3


def test_nobody_is_asked_twice(add, panel):
    add()
    assert "already" in add().text
    assert panel.listeners.count() == 4


def test_a_guest_who_has_not_come_does_not_count_as_a_listener(
    add, panel, takes, audition, rubric, director, teacher, other_teacher, as_user
):
    """Two teachers and an open invitation: both hear the take, since two others are not there."""
    small = type(panel).objects.create(audition=audition, name="Small", rubric=rubric, made_by=director)
    row = small.takes.create(take=takes[0], code="B22")
    PanelListener.objects.create(panel=small, invited_name="Not yet there")
    PanelListener.objects.create(panel=small, user=teacher)
    PanelListener.objects.create(panel=small, user=other_teacher)
    deal(small)
    assert row.sheets.count() == 2


def test_one_link_opens_both_panels_a_guest_was_asked_to(add, panel, audition, rubric, director, as_user):
    add()
    other = type(panel).objects.create(audition=audition, name="Other", rubric=rubric, made_by=director)
    as_user(director).post(reverse("panel_listener_add", args=[other.pk]), GUEST)
    deliver_new(OutgoingMail.objects.latest("pk").pk)
    [link] = re.findall(r"/invitation/\S+", mail.outbox[-1].body)
    as_user(None).post(link, {"name": GUEST["name"], "access": "code"})
    guest = User.objects.get(email=GUEST["email"])
    assert panel.listeners.filter(user=guest).exists()
    assert other.listeners.filter(user=guest).exists()


def remove(as_user, director, listener):
    address = reverse("panel_listener_remove", args=[listener.panel_id, listener.pk])
    return as_user(director).post(address, follow=True)


def test_a_guest_taken_out_is_gone_at_once(come, panel, as_user, director):
    browser = come()
    remove(as_user, director, panel.listeners.get(user__email=GUEST["email"]))
    assert panel.listeners.count() == 3
    assert browser.get(reverse("panel_list")).status_code == 302


def test_an_invitation_taken_out_opens_nothing(add, panel, as_user, director):
    add()
    remove(as_user, director, panel.listeners.get(user=None))
    assert not Invitation.objects.open().exists()


def test_who_has_marked_stays(panel, as_user, director, third_teacher, rubric):
    listener = panel.listeners.get(user=third_teacher)
    listener.sheets.first().marks.create(caption=rubric.captions.first(), value=7)
    assert "has marked already" in remove(as_user, director, listener).text
    assert panel.listeners.filter(pk=listener.pk).exists()


def test_what_only_they_heard_beside_one_other_goes_to_the_own_teacher(
    panel, takes, as_user, director, teacher, third_teacher
):
    remove(as_user, director, panel.listeners.get(user=third_teacher))
    own = panel.listeners.get(user=teacher).sheets.filter(panel_take__take=takes[0])
    assert own.exists()
