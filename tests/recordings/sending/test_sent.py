"""Signed, sent, confirmed: by whom, when, and for which takes."""

import pytest

from recordings.models import Bundle, Dispatch, Statement
from recordings.readiness.checklist import standings_of
from recordings.sending import bundle
from recordings.sending.bundle_queue import ask_for
from recordings.takes.lifetime import why_it_stays
from studio.models import Consent, Event, SendingRules
from tests.recordings.conftest import finish, plain_take
from tests.recordings.readiness.test_rows import answer


@pytest.fixture
def rules(audition):
    return SendingRules.objects.create(
        audition=audition,
        student_statement="The playing is mine.",
        guardian_statement="The playing is my child's.",
        announcement="forbidden",
        name_pattern="{entry}-{number}",
    )


@pytest.fixture
def ready(take, rules, entry, director):
    """A take with its files made."""
    finish(take, duration_s=3.0)
    answer(take, 9)
    ask_for(entry, director)
    assert bundle.make(Bundle.objects.get().pk)
    return take


@pytest.fixture
def page(entry):
    return f"/entries/{entry.pk}/sending/"


def sign(browser, page, kind, **changed):
    takes = browser.get(page).context["takes"]
    return browser.post(f"{page}sign/", {"kind": kind, "agreed": "on", "takes": takes, **changed})


def open_points(browser, page) -> list[str]:
    standing = browser.get(page).context["standing"]
    return [each.sentence.code.removeprefix("sending.") for each in standing.left_open]


def test_each_signs_their_own_and_it_is_told_with_the_date(
    ready, page, as_user, director, student_user, guardian
):
    browser = as_user(director)
    assert open_points(browser, page) == ["listen_nobody_speaks", "student_to_sign", "guardian_to_sign"]
    for person, kind in ((director, "heard"), (student_user, "student"), (guardian, "guardian")):
        assert sign(as_user(person), page, kind).status_code == 302
    assert open_points(browser, page) == []
    signed = {each.kind: (each.signed_by, each.wording) for each in Statement.objects.all()}
    assert signed["student"] == (student_user, "The playing is mine.")
    assert signed["guardian"] == (guardian, "The playing is my child's.")
    shown = as_user(student_user).get(page).text
    assert "Ruth Tannhof, " in shown
    assert "Mira Tannhof, " in shown


@pytest.mark.parametrize(
    ("who", "kind"),
    [
        ("director", "student"),
        ("director", "guardian"),
        ("guardian", "student"),
        ("student_user", "guardian"),
        ("student_user", "heard"),
    ],
)
def test_nobody_signs_for_another(ready, page, as_user, request, who, kind):
    assert sign(as_user(request.getfixturevalue(who)), page, kind).status_code == 403
    assert not Statement.objects.exists()


def test_a_guardian_signs_for_a_child_without_an_account(ready, page, entry, as_user, guardian):
    entry.student.user = None
    entry.student.save()
    assert sign(as_user(guardian), page, "student").status_code == 302


def test_an_empty_box_and_other_takes_are_told(ready, page, as_user, student_user):
    browser = as_user(student_user)
    unticked = browser.post(f"{page}sign/", {"kind": "student"})
    assert (unticked.status_code, "tick the box" in unticked.text) == (422, True)
    other = sign(browser, page, "student", takes="0" * 64)
    assert (other.status_code, "have changed meanwhile" in other.text) == (422, True)
    assert not Statement.objects.exists()


def test_what_was_signed_holds_for_these_takes_and_words_alone(
    ready, page, entry, requirement, rules, as_user, director, student_user
):
    browser = as_user(director)
    sign(as_user(student_user), page, "student")
    assert "student_to_sign" not in open_points(browser, page)
    SendingRules.objects.update(student_statement="Every note is mine.")
    assert "student_to_sign" in open_points(browser, page)
    SendingRules.objects.update(student_statement="The playing is mine.")
    later = plain_take(entry, requirement, sha256="7" * 64)
    browser.post(f"{page}choose/", {"requirement": requirement.pk, "take": later.pk})
    assert "student_to_sign" in open_points(browser, page)


def test_sent_is_kept_with_who_what_and_the_confirmation(ready, page, entry, as_user, teacher, guardian):
    browser = as_user(teacher)
    assert browser.post(f"{page}sent/", {"confirmation": "Received, no. 4711"}).status_code == 302
    sent = Dispatch.objects.get()
    assert (sent.sent_by, sent.confirmation) == (teacher, "Received, no. 4711")
    assert sent.contents == Bundle.objects.get().contents
    assert [point["code"] for point in sent.open_points] == [
        "sending.listen_nobody_speaks",
        "sending.student_to_sign",
        "sending.guardian_to_sign",
    ]
    for person in (teacher, guardian):
        shown = as_user(person).get(page).text
        assert "Marked as sent by Anselm Birke" in shown
        assert "Received, no. 4711" in shown
    assert "sent off" in browser.get(f"/auditions/{entry.audition_id}/sending/").text


def test_who_is_to_sign_reads_it_on_the_first_page(
    ready, page, entry, student, as_user, student_user, guardian, teacher
):
    addresses = {student_user: "/my-music/", guardian: f"/students/{student.pk}/"}
    for person, address in addresses.items():
        assert "Read and sign" in as_user(person).get(address).text
    assert "Read and sign" not in as_user(teacher).get(f"/students/{student.pk}/").text
    sign(as_user(student_user), page, "student")
    assert "Read and sign" not in as_user(student_user).get("/my-music/").text
    assert "Read and sign" in as_user(guardian).get(addresses[guardian]).text
    Dispatch.objects.create(entry=entry, sent_by=teacher)
    assert "Read and sign" not in as_user(guardian).get(addresses[guardian]).text


def test_a_letter_no_database_takes_is_left_out(ready, page, as_user, teacher):
    as_user(teacher).post(f"{page}sent/", {"confirmation": "No.\0 4711"})
    assert Dispatch.objects.get().confirmation == "No. 4711"


def test_the_record_of_events_knows_who_took_files_out_and_sent_them(ready, page, entry, as_user, director):
    browser = as_user(director)
    assert browser.get(f"{page}files.zip").status_code == 200
    for step in ("sent", "sent", "not-sent", "not-sent"):
        browser.post(f"{page}{step}/")
    Kind = Event.Kind
    told = Event.objects.filter(about="entry", about_number=entry.pk, by_number=director.pk).order_by("pk")
    assert list(told.values_list("kind", flat=True)) == [Kind.EXPORTED, Kind.SENT, Kind.NOT_SENT]


def test_once_sent_neither_sent_twice_nor_chosen_anew(ready, page, requirement, as_user, director):
    browser = as_user(director)
    browser.post(f"{page}sent/")
    again = browser.post(f"{page}sent/")
    assert (again.status_code, "already" in again.text) == (422, True)
    chosen = browser.post(f"{page}choose/", {"requirement": requirement.pk, "take": ready.pk})
    assert (chosen.status_code, "stay as they are" in chosen.text) == (422, True)
    assert Dispatch.objects.count() == 1


def test_what_was_sent_is_not_removed_by_its_player(entry, requirement, rules, student_user, director):
    take = plain_take(entry, requirement)
    assert why_it_stays(take, student_user) == ""
    Dispatch.objects.create(entry=entry, sent_by=director)
    assert "sent off" in why_it_stays(take, student_user)
    assert why_it_stays(take, director) == ""


def test_a_mark_by_mistake_is_taken_back_and_kept(ready, page, as_user, director, teacher):
    as_user(teacher).post(f"{page}sent/", {"confirmation": "Mistaken"})
    assert as_user(director).post(f"{page}not-sent/").status_code == 302
    kept = Dispatch.objects.get()
    assert (kept.taken_back_by, kept.confirmation) == (director, "Mistaken")
    assert as_user(director).post(f"{page}sent/").status_code == 302
    assert Dispatch.objects.standing().count() == 1


def test_without_files_or_agreement_nothing_is_marked_and_nothing_typed_is_lost(
    ready, page, as_user, director
):
    browser = as_user(director)
    SendingRules.objects.update(name_pattern="{number}")
    refused = browser.post(f"{page}sent/", {"confirmation": "no. 12"})
    assert (refused.status_code, "make the files first" in refused.text) == (422, True)
    assert "no. 12" in refused.text
    SendingRules.objects.update(name_pattern="{entry}-{number}")
    Consent.objects.get().withdraw()
    assert "agreement stands" in browser.post(f"{page}sent/").text
    assert not Dispatch.objects.exists()


def test_the_checklist_counts_what_is_sent(ready, page, audition, as_user, director):
    def last():
        [standing] = standings_of([audition])
        step = standing.steps[-1]
        return (step.words, step.done, step.of), standing.next_step

    counted, next_step = last()
    assert counted == ("Entries sent off", 0, 1)
    assert next_step.sentence == "1 entry is still to be sent off."
    as_user(director).post(f"{page}sent/")
    assert last() == (("Entries sent off", 1, 1), None)
    as_user(director).post(f"{page}not-sent/")
    assert last()[0] == ("Entries sent off", 0, 1)


def test_an_audition_without_rules_has_nothing_to_send(audition, entry, requirement):
    [standing] = standings_of([audition])
    assert [step.words for step in standing.steps][-1] == "Latest takes answered"
