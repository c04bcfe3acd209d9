import pytest

from studio.models import Invitation, Student
from tests.mails import delivered
from tests.studio.test_seasons import DIRECTOR_ONLY


@pytest.fixture
def good(teacher):
    return {
        "name": "Lene Moorbach",
        "instrument": "flute",
        "level": "junior",
        "teacher": teacher.pk,
        "email": "lene@example.org",
        "is_minor": "on",
        "guardian_email": "moorbach@example.org",
    }


def test_who_sees_and_changes(statuses, student):
    assert statuses("/students/") == DIRECTOR_ONLY
    assert statuses("/students/new/") == DIRECTOR_ONLY
    assert statuses(f"/students/{student.pk}/edit/") == DIRECTOR_ONLY


def test_a_student_is_added_and_changed(director, good, as_user):
    as_user(director).post("/students/new/", good)
    student = Student.objects.get()
    assert student.guardian_email == "moorbach@example.org"
    as_user(director).post(f"/students/{student.pk}/edit/", {**good, "level": "senior"})
    student.refresh_from_db()
    assert student.level == "senior"


def test_the_same_student_sent_twice_is_one(director, good, as_user):
    for _ in range(2):
        page = as_user(director).post("/students/new/", good)
    assert "already listed" in page.context["form"].errors["name"][0]
    assert Student.objects.count() == 1
    assert as_user(director).post("/students/new/", {**good, "instrument": "violin"}).status_code == 302


def test_a_minor_needs_a_guardians_address(director, good, as_user):
    page = as_user(director).post("/students/new/", {**good, "guardian_email": ""})
    assert page.context["form"].errors == {"guardian_email": ["A minor needs a guardian's mail address."]}
    assert "Lene Moorbach" in page.text
    grown = {**good, "guardian_email": "", "is_minor": ""}
    assert as_user(director).post("/students/new/", grown).status_code == 302


def test_the_guardian_is_another_person(director, good, as_user):
    page = as_user(director).post("/students/new/", {**good, "guardian_email": "Lene@example.org"})
    assert "guardian_email" in page.context["form"].errors


def test_only_teachers_teach(director, good, as_user):
    page = as_user(director).post("/students/new/", {**good, "teacher": director.pk})
    assert "teacher" in page.context["form"].errors


def test_the_list_says_who_has_agreed(director, student, other_student, as_user):
    rows = {row.name: row for row in as_user(director).get("/students/").context["page"]}
    assert rows[student.name].consent_stands
    assert not rows[other_student.name].consent_stands


def test_the_queries_do_not_grow(director, teacher, student, as_user, queries_of):
    before = queries_of(as_user(director), "/students/")
    for number in range(10):
        Student.objects.create(name=f"P{number}", instrument="flute", level="junior", teacher=teacher)
    assert queries_of(as_user(director), "/students/") == before


def test_the_list_is_paged(director, teacher, as_user):
    for number in range(26):
        Student.objects.create(name=f"P{number:02}", instrument="flute", level="junior", teacher=teacher)
    assert len(as_user(director).get("/students/").context["page"]) == 25


class TestInviting:
    @pytest.fixture
    def url(self, director, good, as_user):
        as_user(director).post("/students/new/", good)
        return f"/students/{Student.objects.get().pk}/invite/"

    def test_student_and_guardian(self, director, url, as_user):
        as_user(director).post(url, {"who": "student"})
        as_user(director).post(url, {"who": "guardian"})
        assert [message.to for message in delivered()] == [["lene@example.org"], ["moorbach@example.org"]]
        assert set(Invitation.objects.values_list("role", flat=True)) == {"student", "guardian"}
        assert "follow Lene Moorbach's audition music" in delivered()[1].body

    def test_inviting_again_closes_the_earlier_link(self, director, url, as_user):
        as_user(director).post(url, {"who": "student"})
        as_user(director).post(url, {"who": "student"})
        assert Invitation.objects.count() == 2
        assert Invitation.objects.open().count() == 1

    def test_correcting_an_address_closes_the_link_sent_to_the_wrong_one(self, director, good, url, as_user):
        for who in ("student", "guardian"):
            as_user(director).post(url, {"who": who})
        edit = url.replace("invite", "edit")
        as_user(director).post(edit, {**good, "guardian_email": "other@example.org"})
        assert [invitation.role for invitation in Invitation.objects.open()] == ["student"]

    def test_no_address_no_mail(self, director, url, as_user):
        Student.objects.update(email="")
        page = as_user(director).post(url, {"who": "student"}, follow=True)
        assert "no mail address" in page.text
        assert not delivered()

    def test_a_student_with_an_account_is_not_invited(self, director, student, as_user):
        page = as_user(director).post(f"/students/{student.pk}/invite/", {"who": "student"}, follow=True)
        assert "already has an account" in page.text
        assert not delivered()

    def test_only_directors_by_post(self, director, teacher, url, as_user):
        assert as_user(teacher).post(url).status_code == 403
        assert as_user(None).post(url).status_code == 302
        assert as_user(director).get(url).status_code == 405
