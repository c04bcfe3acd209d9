from recordings.models import Take
from studio.models import Entry, Student
from tests.studio.test_seasons import DIRECTOR_ONLY


def test_who_enters(statuses, audition):
    assert statuses(f"/auditions/{audition.pk}/entries/new/") == DIRECTOR_ONLY


def test_one_student_is_entered(director, audition, student, as_user):
    response = as_user(director).post(f"/auditions/{audition.pk}/entries/new/", {"student": student.pk})
    assert response.url == f"/auditions/{audition.pk}/"
    entry = Entry.objects.get()
    assert (entry.student, entry.instrument, entry.level) == (student, "violin", "senior")


def test_a_second_time_is_refused(director, audition, entry, student, as_user):
    page = as_user(director).post(f"/auditions/{audition.pk}/entries/new/", {"student": student.pk})
    assert "already entered" in page.context["form"].errors["student"][0]
    assert Entry.objects.count() == 1


def test_everybody_of_an_instrument_and_level(director, teacher, audition, entry, other_student, as_user):
    Student.objects.create(name="Younger", instrument="violin", level="junior", teacher=teacher)
    url = f"/auditions/{audition.pk}/entries/new/"
    assert "Violin, senior (2 students)" in as_user(director).get(url).text
    page = as_user(director).post(url, {"group": "violin|senior"}, follow=True)
    assert "1 student entered." in page.text
    assert Entry.objects.filter(level="senior").count() == 2
    assert "0 students entered." in as_user(director).post(url, {"group": "violin|senior"}, follow=True).text


def test_groups_this_audition_asks_for_come_first(director, teacher, audition, requirement, student, as_user):
    Student.objects.create(name="Early", instrument="cello", level="senior", teacher=teacher)
    page = as_user(director).get(f"/auditions/{audition.pk}/entries/new/")
    labels = [label for _value, label in page.context["group"].fields["group"].choices]
    assert labels[0].startswith("Violin, senior")
    assert labels[-1] == "Cello, senior (1 student): no requirement here yet"


def test_an_unknown_group_is_refused(director, audition, student, as_user):
    page = as_user(director).post(f"/auditions/{audition.pk}/entries/new/", {"group": "kazoo|senior"})
    assert "group" in page.context["group"].errors
    assert not page.context["form"].is_bound


def test_removing(director, teacher, entry, as_user):
    url = f"/entries/{entry.pk}/remove/"
    assert as_user(director).get(url).status_code == 405
    assert as_user(teacher).post(url).status_code == 403
    assert as_user(None).post(url).status_code == 302
    as_user(director).post(url)
    assert not Entry.objects.exists()


def test_an_entry_with_a_take_stays(director, entry, requirement, as_user):
    Take.objects.create(entry=entry, requirement=requirement, sound="x", sha256="0", size=1)
    page = as_user(director).post(f"/entries/{entry.pk}/remove/", follow=True)
    assert "so it stays" in page.text
    assert Entry.objects.exists()
