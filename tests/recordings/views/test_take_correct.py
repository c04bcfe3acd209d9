import pytest
from django.urls import reverse

from recordings.jobs import run, turns
from recordings.models import Analysis, Correction, Remark, Review
from recordings.models.take import Take
from recordings.reviews.draft import draft_review
from recordings.reviews.orders import orders_of
from recordings.reviews.release import release_review
from recordings.reviews.save import RemarkText, ReviewText, save_review
from studio.models import Event
from tests.recordings.conftest import plain_take
from tests.recordings.jobs.test_run import FakeAnalysis
from tests.recordings.measured_take import make_take


@pytest.fixture
def take(entry, requirement):
    return make_take(entry, requirement)


@pytest.fixture
def review(take):
    return draft_review(take, take.analysis.result)


@pytest.fixture
def url(review):
    return reverse("take_correct", args=[review.take_id])


@pytest.fixture
def desk(as_user, teacher):
    return as_user(teacher)


def said(take, **more) -> dict:
    bar = take.analysis.result["bars"][1]
    return {
        "correction_edition": 0,
        "begins": "0:00.4",
        "ends": "",
        "order": "",
        "order_line": "",
        "line": [f"{bar['measure_id']}|{bar['pass']}", ""],
        "line_at": ["3,25", ""],
        **more,
    }


def test_what_is_said_is_kept_with_who_said_it_and_the_take_is_measured_again(
    desk, url, take, teacher, messages, django_capture_on_commit_callbacks
):
    note = next(n for n in take.analysis.result["notes"] if n["status"] == "wrong_pitch")
    with django_capture_on_commit_callbacks(execute=True):
        answer = desk.post(url, said(take, right=[f"{note['note_id']}|{note['pass']}"]))
    assert answer.status_code == 302
    kept = Correction.objects.get()
    assert (kept.take, kept.by, kept.edition, kept.begins_s) == (take, teacher, 1, 0.4)
    assert [(line["bar"], line["pass"], line["time_s"]) for line in kept.bar_lines] == [("2", 1, 3.25)]
    assert [right["note_id"] for right in kept.right_notes] == [note["note_id"]]
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.WAITING
    assert messages == [take.analysis.pk]
    assert Event.objects.get(kind=Event.Kind.CORRECTED).about_number == take.pk


def test_the_analysis_is_given_what_was_said_and_a_new_measuring_gives_it_again(desk, url, take, monkeypatch):
    child = FakeAnalysis()
    monkeypatch.setattr("recordings.analysis.process.in_child.analyse_file_in_child", child)
    printed = take.requirement.excerpt.score
    line = "1-2, 3-4"
    desk.post(url, said(take, order="other", order_line=line))
    for _time in range(2):
        assert run.measure(take.analysis.pk)
        given = child.corrections
        assert (given.begins_s, given.ends_s, given.order) == (0.4, None, (0, 1, 2, 3))
        assert [(bar.measure_id, bar.time_s) for bar in given.bar_lines] == [
            (printed.measures[1].measure_id, 3.25)
        ]
        Analysis.objects.get().start_again()


def test_what_music_no_longer_has_is_left_out_and_told(desk, url, take, monkeypatch):
    child = FakeAnalysis()
    monkeypatch.setattr("recordings.analysis.process.in_child.analyse_file_in_child", child)
    desk.post(url, said(take, begins="", order="other", order_line="1-3"))
    Correction.objects.update(
        score_hash="another", order_line="1-99", right_notes=[{"note_id": "x", "bar": "1", "pass": 1}]
    )
    assert run.measure(take.analysis.pk)
    given = child.corrections
    assert (given.order, given.right_notes) == ((), ())
    assert len(given.bar_lines) == 1  # found by its printed label
    page = desk.get(reverse("review", args=[take.pk])).content.decode()
    assert "could not be made to agree" in page
    assert "played: bars 1-99" in page


def test_words_and_kept_remarks_stay_and_proposals_are_drafted_anew(
    desk, url, take, review, teacher, monkeypatch
):
    first, second, _third = review.remarks.all()
    texts = (
        RemarkText(first.text, first.bars, verdict=Remark.Verdict.KEPT, pk=first.pk),
        RemarkText("Mine about this.", second.bars, pk=second.pk),
        RemarkText("My own.", "3"),
    )
    save_review(review, ReviewText("In my words.", {}, texts), edition=review.edition, by=teacher)
    monkeypatch.setattr("recordings.analysis.process.in_child.analyse_file_in_child", FakeAnalysis())
    desk.post(url, said(take))
    assert run.measure(take.analysis.pk)
    review.refresh_from_db()
    assert review.words == "In my words."
    kept = [remark.text for remark in review.remarks.all()]
    assert kept[:3] == [first.text, "Mine about this.", "My own."]
    assert review.marks.count() == 3


def test_of_two_windows_the_second_is_told_and_loses_nothing(desk, url, take):
    desk.post(url, said(take))
    run_to_end(take)
    late = desk.post(url, said(take, begins="0:09.9"))
    assert late.status_code == 409
    page = late.content.decode()
    assert "another window" in page
    assert 'value="0:09.9"' in page
    assert Correction.objects.count() == 1
    asked = desk.post(url, said(take), headers={"Accept": "application/json"})
    assert "another window" in asked.json()["errors"]["edition"]


def test_back_to_what_was_measured(desk, url, take):
    desk.post(url, said(take))
    run_to_end(take)
    assert "Set right by ear" in desk.get(reverse("review", args=[take.pk])).content.decode()
    desk.post(url, said(take, correction_edition=1, undo="1"))
    assert Correction.objects.in_force(take.pk).is_empty
    assert Correction.objects.count() == 2
    run_to_end(take)
    assert "Set right by ear" not in desk.get(reverse("review", args=[take.pk])).content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"begins": "soon"}, "a time such as"),
        ({"begins": "9:00"}, "shorter than that"),
        ({"begins": "0:08", "ends": "0:02"}, "must end after"),
        ({"line_at": ["later", ""]}, "for bar 2"),
        ({"order": "other", "order_line": "1-99"}, "99"),
        ({"order": "other", "order_line": ""}, "error"),
        ({"correction_edition": ""}, "open this take anew"),
    ],
)
def test_what_cannot_be_is_said_at_its_field_and_kept_on_the_page(desk, url, take, typed, sentence):
    answer = desk.post(url, said(take, **typed))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert sentence in page
    for value in typed.values():
        assert not value or str(value if isinstance(value, str) else value[0]) in page
    assert not Correction.objects.exists()


@pytest.mark.parametrize("number", ["²", "0", "-1", "9" * 60, "9" * 5000])
def test_a_bar_or_note_that_cannot_come_so_often_is_passed_over(desk, url, take, number):
    bar, note = take.analysis.result["bars"][1]["measure_id"], take.analysis.result["notes"][0]["note_id"]
    sent = said(take, line=[f"{bar}|{number}"], line_at=["3.25"], right=[f"{note}|{number}"])
    assert desk.post(url, sent).status_code == 302
    kept = Correction.objects.get()
    assert (kept.begins_s, kept.bar_lines, kept.right_notes) == (0.4, [], [])


def test_a_released_answer_keeps_what_it_rests_on(desk, url, take, review, teacher):
    review.marks.update(value=7)
    release_review(review, by=teacher, edition=review.edition)
    assert desk.post(url, said(take)).status_code == 409
    assert not Correction.objects.exists()
    assert 'id="correct-form"' not in desk.get(reverse("review", args=[take.pk])).content.decode()


def test_an_answer_read_through_before_does_not_go_out_on_what_is_measured_again(desk, url, take, review):
    review.marks.update(value=7)
    read_through = review.edition
    desk.post(url, said(take))
    release = reverse("review_release", args=[take.pk])
    assert desk.post(release, {"confirmed": "1", "edition": read_through}).status_code == 409
    review.refresh_from_db()
    assert not review.is_released


def test_a_take_corrected_at_the_desk_is_not_sent_back_by_the_measuring(desk, url, take, monkeypatch):
    child = FakeAnalysis()
    monkeypatch.setattr("recordings.analysis.process.in_child.analyse_file_in_child", child)
    monkeypatch.setattr(run, "unusable", lambda result: Analysis.Unusable.OTHER_MUSIC)
    desk.post(url, said(take))
    assert run.measure(take.analysis.pk)
    assert Analysis.objects.get(take=take).unusable == ""
    assert Review.objects.filter(take=take).exists()


def test_what_a_teacher_waits_for_goes_before_all_others(desk, url, take, entry, requirement):
    others = [plain_take(entry, requirement, sha256=str(n) * 64) for n in range(1, 4)]
    desk.post(url, said(take))
    assert turns.in_line() == [take.analysis.pk, *(other.analysis.pk for other in others)]


def test_the_orders_offered_are_those_the_music_allows(requirement):
    assert orders_of(requirement) == [
        ("1-2, 1-2, 3-4", "as asked for"),
        ("1-4", "bars 1-2 not repeated"),
    ]


def test_the_student_reads_that_the_teacher_set_it_right(
    as_user, student_user, desk, url, take, review, teacher
):
    desk.post(url, said(take))
    run_to_end(take)
    address = reverse("take_detail", args=[take.pk])
    assert "set right by ear" not in as_user(student_user).get(address).content.decode()
    review.refresh_from_db()
    review.marks.update(value=7)
    release_review(review, by=teacher, edition=review.edition)
    assert "set right by ear" in as_user(student_user).get(address).content.decode()


def run_to_end(take: Take) -> None:
    Analysis.objects.filter(take=take).update(state=Analysis.State.DONE)
