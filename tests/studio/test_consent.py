import pytest

from studio.models import Consent, Guardianship


@pytest.fixture
def url(other_student):
    return f"/students/{other_student.pk}/consent/"


def test_the_page_says_what_who_how_long_and_how_to_withdraw(student, guardian, entry, season, as_user):
    student.consents.all().delete()
    page = as_user(guardian).get(f"/students/{student.pk}/consent/").text
    assert "What is stored" in page
    assert student.teacher.name in page
    assert f"{season.keep_takes_days} days" in page
    assert "How to withdraw" in page


def test_agreeing_keeps_the_wording(other_student, other_guardian, url, as_user):
    assert not other_student.may_record
    response = as_user(other_guardian).post(url, {"agreed": "on"})
    assert response.url == url
    consent = Consent.objects.get()
    assert consent.given_by == other_guardian
    assert other_student.name in consent.wording
    assert "Nobody else" in consent.wording
    assert other_student.may_record
    page = as_user(other_guardian).get(url).text
    assert "Agreed by Karl Eschwald" in page
    assert "Europe/Vienna" in page


def test_nobody_agrees_for_themselves(other_student, other_guardian, url, as_user):
    other_student.user = other_guardian
    other_student.save()
    assert as_user(other_guardian).post(url, {"agreed": "on"}).status_code == 403
    assert not Consent.objects.exists()


def test_the_box_must_be_ticked(other_guardian, url, as_user):
    page = as_user(other_guardian).post(url, {})
    assert page.context["form"].errors["agreed"] == ["Please tick the box if you agree."]
    assert not Consent.objects.exists()


def test_agreeing_twice_is_one_consent(other_guardian, url, as_user):
    for _ in range(2):
        assert as_user(other_guardian).post(url, {"agreed": "on"}).status_code == 302
    assert Consent.objects.count() == 1


def test_withdrawing_keeps_the_record_and_stops_recording(student, guardian, as_user):
    url = f"/students/{student.pk}/consent/withdraw/"
    assert "can hand in no new recording" in as_user(guardian).get(url).text
    assert "Please tick the box" in as_user(guardian).post(url).text
    assert student.may_record
    page = as_user(guardian).post(url, {"sure": "on"}, follow=True)
    assert page.redirect_chain[-1][0] == f"/students/{student.pk}/agreements/{Consent.objects.get().pk}/"
    assert "No new take can be handed in" in page.text
    assert Consent.objects.get().withdrawn_at
    assert not student.may_record
    as_user(guardian).post(f"/students/{student.pk}/consent/", {"agreed": "on"})
    assert Consent.objects.count() == 2
    assert student.may_record


def test_a_student_of_age_needs_none(student):
    student.consents.all().delete()
    student.is_minor = False
    assert student.may_record


def test_only_the_childs_guardians(student, people, other_guardian, director, as_user):
    url = f"/students/{student.pk}/consent/"
    expected = {"director": 403, "teacher": 403, "student": 403, "guardian": 200, "anonymous": 302}
    assert {role: as_user(user).get(url).status_code for role, user in people.items()} == expected
    assert as_user(other_guardian).get(url).status_code == 404
    for path in (url, f"{url}withdraw/"):
        assert as_user(other_guardian).post(path, {"agreed": "on"}).status_code == 404
        assert as_user(people["student"]).post(path, {"agreed": "on"}).status_code == 403
    assert student.may_record
    assert "Only a guardian" in as_user(director).get(url).text


class TestMyChildren:
    def test_only_own_children(self, guardian, student, other_student, as_user):
        page = as_user(guardian).get("/children/")
        assert [child.pk for child in page.context["page"]] == [student.pk]
        assert "You have agreed" in page.text

    def test_a_missing_agreement_is_asked_for(self, other_guardian, other_student, as_user):
        page = as_user(other_guardian).get("/children/").text
        assert "before you agree" in page
        assert f"/students/{other_student.pk}/consent/" in page

    def test_only_guardians(self, statuses):
        refused = {"director": 403, "teacher": 403, "student": 403}
        assert statuses("/children/") == {**refused, "guardian": 200, "anonymous": "sign in"}

    def test_the_queries_do_not_grow(self, guardian, student, other_student, as_user, queries_of):
        before = queries_of(as_user(guardian), "/children/")
        Guardianship.objects.create(guardian=guardian, student=other_student)
        assert queries_of(as_user(guardian), "/children/") == before


def test_each_agreement_has_a_receipt_with_its_words_and_dates(student, guardian, as_user):
    agreement = Consent.objects.get()
    address = f"/students/{student.pk}/agreements/{agreement.pk}/"
    page = as_user(guardian).get(address).text
    assert "Agreed for the tests." in page
    assert "no, it stands" in page
    agreement.withdraw()
    text = as_user(guardian).get(f"{address}?as=text")
    assert text["Content-Disposition"] == f'attachment; filename="agreement-{agreement.pk}.txt"'
    assert "Withdrawn on" in text.text
    assert "Agreed for the tests." in text.text
    assert guardian.name in text.text
    assert address in as_user(guardian).get(f"/students/{student.pk}/consent/").text
