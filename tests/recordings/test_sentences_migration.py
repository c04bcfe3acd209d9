"""A database from before sentences were codes keeps every word; the way back keeps what a code can give."""

from dataclasses import asdict

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from recordings.analysis import sentences
from recordings.models import Analysis, Mark, Remark
from recordings.reviews.draft import draft_review
from tests.recordings.measured_take import make_take

pytestmark = pytest.mark.django_db(transaction=True)
BEFORE = "0006_remarks_are_proposals"


def back():
    return MigrationExecutor(connection).migrate([("recordings", BEFORE)]).apps


def forward():
    """To the newest, so that the database fits the code again."""
    executor = MigrationExecutor(connection)
    return executor.migrate(executor.loader.graph.leaf_nodes("recordings")).apps


@pytest.fixture
def there_and_back():
    yield lambda: (back(), forward())
    forward()


@pytest.fixture
def review(entry, requirement):
    take = make_take(entry, requirement)
    return draft_review(take, take.analysis.result)


def test_words_of_earlier_versions_survive(review, there_and_back):
    old = {"kind": "hesitation", "bars": "3", "text": "Bar 3: a stop.", "start_s": 1.0, "end_s": 2.0}
    drafted = Remark.objects.create(review=review, finding=old)
    own = Remark.objects.create(review=review, finding=old, own_text="Bar 3: breathe.")
    mark = review.marks.first()
    Mark.objects.filter(pk=mark.pk).update(evidence="18 of 24 notes")
    Analysis.objects.filter(take=review.take).update(failure="Too long.")
    there_and_back()
    assert Remark.objects.get(pk=drafted.pk).own_text is None
    assert Remark.objects.get(pk=drafted.pk).text == "Bar 3: a stop."
    assert Remark.objects.get(pk=own.pk).text == "Bar 3: breathe."
    assert Mark.objects.get(pk=mark.pk).evidence == "18 of 24 notes"
    assert Analysis.objects.get(take=review.take).failure == "Too long."


def test_the_way_back_leaves_the_code_of_a_sentence(review, there_and_back):
    told = asdict(sentences.FIND_LEFT_OUT(place=sentences.BAR_SINGLE(bar="3")))
    finding = {"kind": "left_out", "bars": "3", "text": told, "start_s": 1.0, "end_s": 2.0}
    remark = Remark.objects.create(review=review, finding=finding)
    old, _new = there_and_back()
    assert Remark.objects.get(pk=remark.pk).own_text == "finding.left_out"
    assert old.get_model("recordings", "Remark")
