"""A mail on its way: claimed by one, tried again after a pause, given up in the end, and then forgotten."""

from datetime import timedelta
from smtplib import SMTPDataError, SMTPRecipientsRefused, SMTPServerDisconnected

import pytest
from django.core import mail
from django.utils import timezone
from kombu.exceptions import OperationalError

from studio.models import Invitation, OutgoingMail
from studio.models.outgoing_mail import KEPT_FOR, LEASE, PAUSES, TOO_OLD
from studio.services.invitations import invite
from studio.services.mail import SEND_TASK, send_later
from studio.services.mail_delivery import deliver, deliver_new, sweep
from studio.tasks import send_mail
from tests.mails import delivered

pytestmark = pytest.mark.django_db
State, Trouble = OutgoingMail.State, OutgoingMail.Trouble
TO = "mira@example.org"
GONE = SMTPServerDisconnected("gone")
UNKNOWN_THERE = SMTPRecipientsRefused({TO: (550, b"no such user")})
COME_AGAIN = SMTPRecipientsRefused({TO: (450, b"greylisted")})


@pytest.fixture
def server(monkeypatch):
    """`server(error)` lets the mail server answer with it; `server(None)` makes it well again."""

    def answers(error: Exception | None) -> None:
        def send(*arguments):
            if error:
                raise error
            mail.get_connection().send_messages([mail.EmailMessage(*arguments)])

        monkeypatch.setattr("studio.services.mail_delivery.send_mail", send)

    return answers


def letter(to: str = TO, **how) -> OutgoingMail:
    return send_later(to, "A matter", "Words", **how)


def passes(span: timedelta) -> None:
    """The database's clock cannot be set, so all that was written moves back in time."""
    for row in OutgoingMail.objects.all():
        for name in ("created_at", "next_try_at", "claimed_until", "send_until", "ended_at"):
            if at := getattr(row, name):
                setattr(row, name, at - span)
        row.save()


def test_it_goes_out_and_nothing_of_it_is_kept(studio):
    row = letter()
    [message] = delivered()
    assert (message.to, message.subject, message.body) == ([TO], "A matter", "Words")
    row.refresh_from_db()
    assert (row.state, row.contents, row.tries) == (State.SENT, "", 1)
    assert TO not in str(OutgoingMail.objects.values().get())


def test_while_it_waits_its_words_do_not_lie_open(studio):
    letter()
    kept = str(OutgoingMail.objects.values().get())
    assert "Words" not in kept
    assert TO not in kept


def test_it_is_sent_by_one_and_once(studio):
    row = letter()
    assert OutgoingMail.objects.claim(row.pk)
    assert not OutgoingMail.objects.claim(row.pk)
    assert not deliver(row.pk)
    assert sweep() == 0
    passes(LEASE + timedelta(seconds=1))  # whoever held it was killed
    assert len(delivered()) == 1
    assert not deliver(row.pk)
    assert len(mail.outbox) == 1


def test_the_workers_are_told_the_number_and_nothing_else(
    studio, monkeypatch, django_capture_on_commit_callbacks
):
    messages = []
    monkeypatch.setattr("celery.current_app.send_task", lambda name, args: messages.append(args))
    with django_capture_on_commit_callbacks(execute=True):
        row = letter()
    assert messages == [[row.pk]]
    send_mail(row.pk)
    assert len(mail.outbox) == 1
    assert send_mail.name == SEND_TASK


def test_a_broker_that_is_away_loses_no_mail(studio, monkeypatch, django_capture_on_commit_callbacks):
    def away(*_args, **_kwargs):
        raise OperationalError("no broker")

    monkeypatch.setattr("celery.current_app.send_task", away)
    with django_capture_on_commit_callbacks(execute=True):
        letter()
    assert len(delivered()) == 1


def test_a_mail_to_nobody_ends_like_any_other_and_goes_nowhere(studio):
    row = letter("")
    assert not delivered()
    row.refresh_from_db()
    assert row.state == State.SENT


def test_a_dead_server_is_tried_again_after_growing_pauses(studio, server):
    row = letter()
    server(GONE)
    for number, pause in enumerate(PAUSES, start=1):
        assert sweep() == 0
        row.refresh_from_db()
        assert (row.state, row.tries, row.trouble) == (State.WAITING, number, Trouble.SERVER)
        assert sweep() == 0
        row.refresh_from_db()
        assert row.tries == number  # not before the pause is over
        passes(pause + timedelta(seconds=1))
    server(None)
    assert sweep() == 1


def test_a_dead_server_is_asked_by_one_mail_a_sweep_and_by_no_new_one(studio, server):
    rows = [letter() for _ in range(3)]
    server(GONE)
    sweep()
    assert sorted(OutgoingMail.objects.values_list("tries", flat=True)) == [0, 0, 1]
    deliver_new(letter().pk)
    assert OutgoingMail.objects.get(pk=rows[0].pk + 3).tries == 0


def test_when_the_server_is_back_all_go_out_at_once(studio, server):
    for _ in range(3):
        letter()
        server(GONE)
        sweep()
    server(None)
    letter()
    assert len(delivered()) == 4


def test_an_address_that_does_not_exist_is_refused_for_good_and_stops_no_other(studio, server):
    row, other = letter(), letter("ruth@example.org")
    server(UNKNOWN_THERE)
    deliver(row.pk)
    server(None)
    assert delivered()[0].to == ["ruth@example.org"]
    row.refresh_from_db()
    assert (row.state, row.contents) == (State.REFUSED, "")
    assert OutgoingMail.objects.get(pk=other.pk).state == State.SENT
    assert OutgoingMail.objects.never_arrived().count() == 1
    assert not OutgoingMail.objects.held_up().exists()


@pytest.mark.parametrize(
    ("error", "state"),
    [
        (COME_AGAIN, State.WAITING),
        (SMTPDataError(451, b"busy"), State.WAITING),
        (SMTPDataError(554, b"looks like spam"), State.REFUSED),
        (ConnectionRefusedError(), State.WAITING),
        (TimeoutError(), State.WAITING),
        (UnicodeEncodeError("ascii", "ä", 0, 1, "no"), State.REFUSED),
    ],
    ids=lambda value: type(value).__name__ if isinstance(value, Exception) else value,
)
def test_what_may_pass_is_tried_again_and_what_will_not_is_given_up(studio, server, error, state, caplog):
    row = letter()
    server(error)
    sweep()
    row.refresh_from_db()
    assert row.state == state
    assert TO not in caplog.text


def test_a_mail_to_nobody_does_not_prove_the_server_well(studio, server):
    row = letter()
    server(GONE)
    sweep()
    letter("")
    assert sweep() == 1
    assert not OutgoingMail.objects.due().filter(pk=row.pk).exists()


def test_sealed_with_another_key_it_is_given_up(studio, settings):
    row = letter()
    settings.SECRET_KEY = "another key of more than thirty-two letters"
    assert not delivered()
    row.refresh_from_db()
    assert row.state == State.REFUSED


def test_a_mail_that_would_come_too_late_is_not_sent(studio):
    row = letter(within=timedelta(minutes=3))
    passes(timedelta(minutes=3, seconds=1))
    assert not delivered()
    row.refresh_from_db()
    assert (row.state, row.contents) == (State.TOO_LATE, "")


def test_a_code_that_has_run_out_is_not_sent(student_user, client):
    client.post("/accounts/login/code/", {"email": student_user.email})
    passes(timedelta(minutes=3, seconds=1))
    assert not delivered()


def test_withdrawing_an_invitation_stops_its_mail(director, as_user):
    invitation = invite(email=TO, name="Mira", role="teacher", invited_by=director)
    as_user(director).post(f"/people/invitations/{invitation.pk}/withdraw/")
    assert not delivered()
    assert invitation.mails.get().state == State.WITHDRAWN


def test_an_invitation_in_place_of_another_stops_the_first_mail(director):
    for _ in range(2):
        invite(email=TO, name="Mira", role="teacher", invited_by=director)
    assert len(delivered()) == 1
    assert Invitation.objects.open().count() == 1


def test_the_bare_rows_go_after_a_month(studio):
    letter()
    delivered()
    passes(KEPT_FOR + timedelta(days=1))
    sweep()
    assert not OutgoingMail.objects.exists()


class TestTheDirectorsAreShown:
    def test_nothing_where_all_is_well(self, director, as_user, client):
        letter()
        assert "Mail is not going out" not in as_user(director).get("/people/").text
        assert client.get("/healthz").json()["mail"] == "ok"

    def test_that_the_server_takes_no_mail(self, director, as_user, client, server):
        server(GONE)
        letter()
        sweep()
        letter()
        assert "Mail is not going out at the moment: 2 mails wait" in as_user(director).get("/people/").text
        answer = client.get("/healthz")
        assert answer.status_code == 503
        assert (answer.json()["mail"], answer.json()["mail_held_up"]) == ("held up", 2)

    def test_that_no_worker_sends_it(self, director, as_user, client):
        letter()
        passes(TOO_OLD + timedelta(seconds=1))
        assert "Mail is not going out" in as_user(director).get("/people/").text
        assert client.get("/healthz").json()["mail"] == "held up"

    def test_what_never_arrived_beside_the_invitation(self, director, as_user, client, server):
        invite(email=TO, name="Mira", role="teacher", invited_by=director)
        server(UNKNOWN_THERE)
        sweep()
        page = as_user(director).get("/people/").text
        assert "In the last week 1 mail did not arrive" in page
        assert "The mail did not arrive. Look at the address" in page
        assert client.get("/healthz").json()["mail"] == "ok"

    def test_others_are_shown_nothing(self, teacher, as_user, server):
        server(GONE)
        letter()
        sweep()
        assert "Mail is not going out" not in as_user(teacher).get("/reviews/").text


def test_a_reset_asked_for_by_a_closed_account_or_a_stranger_sends_nothing(teacher, client):
    teacher.is_active = False
    teacher.save()
    for address in (teacher.email, "nobody@example.org"):
        client.post("/accounts/password/reset/", {"email": address})
    assert not delivered()
    assert set(OutgoingMail.objects.values_list("state", flat=True)) == {State.SENT}


def test_a_reset_speaks_the_language_of_the_page_it_was_asked_on(teacher, client):
    german = {"accept-language": "de"}
    client.post("/accounts/password/reset/", {"email": teacher.email}, headers=german)
    [message] = delivered()
    assert message.subject == "Ein neues Passwort"
    assert timezone.now() > OutgoingMail.objects.latest("pk").created_at
