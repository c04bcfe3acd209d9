import pytest
from django.utils import timezone

from studio.models import Event, Guardianship, Handover, Invitation, Role, Student
from tests.conftest import PASSWORD, make_person


@pytest.fixture
def browser(director, as_user):
    return as_user(director)


def grant_of(user, role):
    return f"/people/roles/{user.roles.get(role=role).pk}/end/"


def stands_in(colleague, *, for_) -> Handover:
    today = timezone.localdate()
    return Handover.objects.create(teacher=for_, colleague=colleague, from_day=today, until_day=today)


def signs_in(client, user) -> bool:
    client.post("/accounts/login/", {"login": user.email, "password": PASSWORD})
    return client.get("/account/").status_code == 200


class TestRole:
    def test_a_teacher_without_the_role_sees_no_student(self, browser, teacher, student, as_user):
        hers = as_user(teacher)
        assert student in Student.objects.visible_to(teacher)
        page = browser.post(grant_of(teacher, Role.TEACHER), follow=True)
        assert "no longer has the role" in page.text
        assert "1 student still has this teacher" in page.text
        assert hers.get("/seasons/").status_code == 403
        assert not Student.objects.visible_to(type(teacher).objects.get(pk=teacher.pk)).exists()

    def test_other_roles_stay(self, browser, teacher):
        teacher.grant(Role.GUARDIAN)
        browser.post(grant_of(teacher, Role.TEACHER))
        assert list(teacher.roles.values_list("role", flat=True)) == [Role.GUARDIAN]

    def test_the_last_director_stays(self, browser, director):
        page = browser.post(grant_of(director, Role.DIRECTOR), follow=True)
        assert "last director" in page.text
        assert director.roles.filter(role=Role.DIRECTOR).exists()

    def test_a_director_whose_account_is_closed_does_not_count(self, browser, director):
        second = make_person("Berta Olm", Role.DIRECTOR)
        browser.post(f"/people/{second.pk}/close/")
        browser.post(grant_of(director, Role.DIRECTOR))
        assert director.roles.filter(role=Role.DIRECTOR).exists()

    def test_handing_the_studio_over(self, browser, director):
        make_person("Berta Olm", Role.DIRECTOR)
        assert browser.post(grant_of(director, Role.DIRECTOR)).url == "/"
        assert browser.get("/people/").status_code == 403

    def test_an_open_link_to_the_role_closes(self, browser, director, teacher):
        Invitation.issue(email=teacher.email, name="A", role=Role.TEACHER, invited_by=director)
        browser.post(grant_of(teacher, Role.TEACHER))
        assert not Invitation.objects.open().exists()

    def test_who_teaches_no_more_stands_in_for_nobody(self, browser, teacher, other_teacher):
        handover = stands_in(other_teacher, for_=teacher)
        browser.post(grant_of(other_teacher, Role.TEACHER))
        assert not Handover.objects.standing().exists()
        other_teacher.grant(Role.TEACHER)
        assert not Handover.objects.standing().exists()
        ended = Event.objects.get(kind=Event.Kind.HANDOVER_ENDED)
        assert ended.about_number == handover.teacher_id

    def test_a_students_role_is_not_ended_here(self, browser, student_user):
        assert browser.post(grant_of(student_user, Role.STUDENT)).status_code == 404


class TestAccount:
    def test_closing_ends_every_session_and_signing_in(self, browser, teacher, as_user, client):
        phone = as_user(teacher)
        assert phone.get("/account/").status_code == 200
        page = browser.post(f"/people/{teacher.pk}/close/", follow=True)
        assert "is closed and signed out everywhere" in page.text
        assert "account closed" in page.text
        assert phone.get("/account/").url.startswith("/accounts/login/")
        assert not signs_in(client, teacher)

    def test_a_closed_account_stands_in_for_nobody(self, browser, teacher, other_teacher):
        stands_in(other_teacher, for_=teacher)
        browser.post(f"/people/{other_teacher.pk}/close/")
        assert not Handover.objects.standing().exists()

    def test_opening_again_revives_no_session(self, browser, teacher, as_user, client):
        phone = as_user(teacher)
        browser.post(f"/people/{teacher.pk}/close/")
        browser.post(f"/people/{teacher.pk}/open/")
        assert phone.get("/account/").status_code == 302
        assert signs_in(client, teacher)

    def test_the_last_director_stays(self, browser, director):
        assert "last director" in browser.post(f"/people/{director.pk}/close/", follow=True).text
        director.refresh_from_db()
        assert director.is_active

    def test_a_students_account_from_the_students_page(self, browser, student, student_user):
        page = f"/students/{student.pk}/edit/"
        assert f"/people/{student_user.pk}/close/" in browser.get(page).text
        assert browser.post(f"/people/{student_user.pk}/close/").url == page
        assert "student, account closed" in browser.get(page).text

    def test_ones_own(self, browser, director):
        make_person("Berta Olm", Role.DIRECTOR)
        assert browser.post(f"/people/{director.pk}/close/").url == "/people/"
        assert browser.get("/people/").url.startswith("/accounts/login/")

    def test_twice(self, browser, teacher):
        browser.post(f"/people/{teacher.pk}/close/")
        assert browser.post(f"/people/{teacher.pk}/close/").status_code == 404


class TestGuardianship:
    def test_the_child_is_no_longer_seen(self, browser, student, guardian, as_user):
        tie = student.guardianships.get()
        hers = as_user(guardian)
        address = f"/students/{student.pk}/consent/"
        assert hers.get(address).status_code == 200
        assert f"/students/guardians/{tie.pk}/end/" in browser.get(f"/students/{student.pk}/edit/").text
        page = browser.post(f"/students/guardians/{tie.pk}/end/", follow=True)
        assert "no longer sees the page" in page.text
        assert "another guardian has to agree" in page.text
        assert hers.get(address).status_code == 404
        assert not student.has_consent
        assert student.consents.count() == 1

    def test_another_guardians_agreement_and_another_child_stay(
        self, browser, student, other_student, guardian, other_guardian
    ):
        Guardianship.objects.create(guardian=other_guardian, student=student)
        page = browser.post(
            f"/students/guardians/{student.guardianships.get(guardian=other_guardian).pk}/end/", follow=True
        )
        assert student.has_consent
        assert "has to agree" not in page.text
        assert other_guardian.roles.filter(role=Role.GUARDIAN).exists()
        assert other_student.guardianships.exists()
