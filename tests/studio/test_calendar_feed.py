"""The calendar feed: the file it gives, and whom its address lets in."""

import logging

import icalendar
import pytest
from django.urls import reverse
from django.utils import translation

from studio.models import CalendarFeed
from studio.services.access_ending import close_account, open_account
from studio.setup.logs import PlainFormatter

pytestmark = pytest.mark.django_db


def address_on(page) -> str:
    return page.context["address"].removeprefix("http://127.0.0.1:8000")


class TestTheFile:
    def test_it_is_a_private_calendar_file_without_a_session(self, feed_of, student_user, entry, requirement):
        answer = feed_of(student_user)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        assert answer["Cache-Control"] == "private, no-store"
        assert not answer.cookies
        calendar = icalendar.Calendar.from_ical(answer.content)
        assert calendar["version"] == "2.0"
        assert calendar["x-wr-calname"] == "Linden Studio"
        assert not calendar.errors
        for event in calendar.events:
            assert not event.errors
            assert {"UID", "DTSTAMP", "DTSTART", "SUMMARY"} <= set(event)
            assert event["class"] == "PRIVATE"

    def test_lines_are_as_long_as_the_standard_allows(self, feed_of, student_user, entry, requirement):
        type(requirement.excerpt).objects.update(title="Übung für späte Abende " * 6)
        lines = feed_of(student_user).content.split(b"\r\n")
        assert max(map(len, lines)) <= 75

    def test_it_speaks_the_language_of_the_person_or_of_the_page_it_was_made_on(
        self, feed_of, student_user, entry, requirement
    ):
        with translation.override("de"):
            german = feed_of(student_user)
        assert "Annahmeschluss: Youth orchestra" in german.text
        assert german["Content-Language"] == "de"
        student_user.language = "en"
        student_user.save()
        with translation.override("de"):
            assert "Closing time: Youth orchestra" in feed_of(student_user).text


class TestTheAddress:
    def test_made_on_the_account_page_shown_once_and_kept_as_a_hash(self, as_user, client, student_user):
        browser = as_user(student_user)
        assert "Whoever has this address can read your dates" in browser.get("/account/").text
        page = browser.post(reverse("account_calendar"))
        address = address_on(page)
        assert page["Cache-Control"] == "private, no-store"
        assert "Whoever has this address can read your dates" in page.text
        assert client.get(address).status_code == 200
        secret = address.removeprefix("/calendar/").removesuffix(".ics")
        assert len(secret) >= 43
        feed = CalendarFeed.objects.get()
        assert secret not in str(vars(feed))
        assert secret not in browser.get("/account/").text

    def test_a_guardian_is_told_that_first_names_stand_there(self, as_user, guardian, student_user):
        assert "first names" in as_user(guardian).get("/account/").text
        assert "first names" not in as_user(student_user).get("/account/").text

    def test_renewed_the_old_one_is_dead_at_once(self, as_user, client, student_user):
        browser = as_user(student_user)
        old = address_on(browser.post(reverse("account_calendar")))
        new = address_on(browser.post(reverse("account_calendar")))
        assert client.get(old).status_code == 404
        assert client.get(new).status_code == 200
        assert CalendarFeed.objects.count() == 1

    def test_ended_it_is_gone(self, as_user, client, student_user):
        browser = as_user(student_user)
        address = address_on(browser.post(reverse("account_calendar")))
        assert browser.post(reverse("account_calendar_end")).url == "/account/"
        assert client.get(address).status_code == 404
        assert browser.post(reverse("account_calendar_end")).status_code == 302

    def test_nobody_ends_the_address_of_another(self, as_user, client, student_user, other_student_user):
        address = reverse("calendar_feed", args=[CalendarFeed.renew(student_user)])
        as_user(other_student_user).post(reverse("account_calendar"))
        as_user(other_student_user).post(reverse("account_calendar_end"))
        assert client.get(address).status_code == 200

    def test_unknown_and_ended_look_the_same(self, client, student_user):
        ended = reverse("calendar_feed", args=[CalendarFeed.renew(student_user)])
        CalendarFeed.objects.all().delete()
        answers = [client.get(address) for address in (ended, "/calendar/unknown.ics")]
        assert {answer.status_code for answer in answers} == {404}
        assert answers[0].content == answers[1].content
        assert {answer["Content-Type"] for answer in answers} == {"text/plain; charset=utf-8"}

    def test_an_account_switched_off_gives_404_and_a_closed_one_loses_its_address(self, client, student_user):
        address = reverse("calendar_feed", args=[CalendarFeed.renew(student_user)])
        student_user.is_active = False
        student_user.save()
        assert client.get(address).status_code == 404
        open_account(student_user)
        assert client.get(address).status_code == 200
        close_account(student_user)
        open_account(student_user)
        assert client.get(address).status_code == 404

    def test_a_role_taken_away_takes_its_dates_along(self, client, teacher, entry, requirement):
        address = reverse("calendar_feed", args=[CalendarFeed.renew(teacher)])
        assert "Takes due" in client.get(address).text
        teacher.roles.all().delete()
        assert "Takes due" not in client.get(address).text

    def test_only_reading(self, client, student_user):
        address = reverse("calendar_feed", args=[CalendarFeed.renew(student_user)])
        assert client.post(address).status_code == 405
        assert client.head(address).status_code == 200

    def test_one_address_is_not_asked_without_end(self, client, settings, student_user):
        settings.ACCOUNT_RATE_LIMITS = {"calendar_address": "100/m/ip", "calendar_feed": "2/h/key"}
        address = reverse("calendar_feed", args=[CalendarFeed.renew(student_user)])
        assert [client.get(address).status_code for _ in range(3)] == [200, 200, 429]

    def test_guessing_is_slowed_down(self, client, settings, studio):
        settings.ACCOUNT_RATE_LIMITS = {"calendar_address": "2/m/ip", "calendar_feed": "60/h/key"}
        seen = [client.get(f"/calendar/guess{number}.ics").status_code for number in range(3)]
        assert seen == [404, 404, 429]

    def test_the_limits_in_use_leave_room_for_a_calendar_provider(self, settings):
        assert settings.ACCOUNT_RATE_LIMITS["calendar_address"] == "120/m/ip"
        assert settings.ACCOUNT_RATE_LIMITS["calendar_feed"] == "60/h/key"


def test_no_line_of_the_log_holds_the_secret(as_user, client, student_user, settings, caplog):
    """Where Django tells of a refusal with its address, the formatter cuts the secret out."""
    settings.ACCOUNT_RATE_LIMITS = {"calendar_address": "100/m/ip", "calendar_feed": "1/h/key"}
    with caplog.at_level(logging.DEBUG):
        address = address_on(as_user(student_user).post(reverse("account_calendar")))
        statuses = [client.get(address).status_code, client.get(address).status_code]
        CalendarFeed.objects.all().delete()
        statuses.append(client.get(address).status_code)
    assert statuses == [200, 429, 404]
    secret = address.removeprefix("/calendar/").removesuffix(".ics")
    plain = PlainFormatter("{name} {message}", style="{")
    lines = [plain.format(record) for record in caplog.records]
    assert len([line for line in lines if "/calendar/[token]" in line]) >= 2
    assert not [line for line in lines if secret in line]
