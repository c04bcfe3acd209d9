import pytest

from recordings.models import Review
from recordings.reviews.save import RemarkText, ReviewText, SavedElsewhere, save_review
from tests.recordings.reviews.conftest import sent


def test_saving_counts_the_edition_and_an_old_edition_is_refused(review, teacher):
    save_review(review, ReviewText(words="first", remarks=sent(review)), edition=0, window="a", by=teacher)
    assert (review.edition, review.reviewer) == (1, teacher)
    with pytest.raises(SavedElsewhere):
        save_review(review, ReviewText(words="second"), edition=0, window="b")
    assert Review.objects.get().words == "first"


def test_the_same_window_may_send_again_when_it_did_not_hear_the_answer(review):
    fresh = ReviewText(words="first", remarks=(*sent(review), RemarkText("New.", "2")))
    save_review(review, fresh, edition=0, window="a")
    save_review(review, ReviewText(words="and more", remarks=fresh.remarks), edition=0, window="a")
    assert (review.edition, review.words) == (1, "and more")
    assert review.remarks.filter(own_text="New.").count() == 1


def test_remarks_are_stored_in_the_order_sent_and_blank_own_ones_vanish(review):
    first, second, third = sent(review)
    ids = save_review(
        review,
        ReviewText(remarks=(third, RemarkText("  "), RemarkText("Breathe here.", "3"), first)),
        edition=0,
    )
    assert ids[1] is None
    stored = list(review.remarks.all())
    assert [remark.pk for remark in stored] == [third.pk, ids[2], first.pk, second.pk]
    assert [remark.verdict for remark in stored] == ["proposed", "kept", "proposed", "dropped"]
