"""A teacher's remark tied to printed bars, and by choice to one note."""

import pytest
from django.core.exceptions import ValidationError

from repertoire.models import BarNote

pytestmark = pytest.mark.django_db


@pytest.fixture
def wording(excerpt, teacher):
    def made(**fields) -> BarNote:
        fields = {"kind": "bowing", "from_bar": "2", "text": "Stay at the frog.", **fields}
        note = BarNote(excerpt=excerpt, author=teacher, **fields)
        note.full_clean()
        note.save()
        return note

    return made


def test_one_bar_is_a_range_of_itself(wording):
    note = wording()
    assert (note.from_bar, note.to_bar, note.bars_text) == ("2", "2", "bar 2")
    assert wording(to_bar="3").bars_text == "bars 2-3"


@pytest.mark.parametrize(
    ("bars", "field", "words"),
    [
        ({"from_bar": "9"}, "from_bar", "Bar 9 is not in this score, which has bars 1 to 4."),
        ({"to_bar": "9"}, "to_bar", "Bar 9 is not in this score"),
        ({"from_bar": "3", "to_bar": "2"}, "to_bar", "runs backwards"),
        ({"note_id": "p1m1n1"}, "note_id", "not in these bars"),
        ({"note_id": "p9m9n9"}, "note_id", "not in these bars"),
        ({"text": ""}, "text", "blank"),
        ({"kind": "shouting"}, "kind", "not a valid choice"),
    ],
)
def test_what_does_not_fit_is_reported_beside_its_field(wording, bars, field, words):
    with pytest.raises(ValidationError, match=words) as refused:
        wording(**bars)
    assert field in refused.value.message_dict


def test_a_note_of_the_bars_may_be_named(wording):
    assert wording(note_id="p1m2n3").note_id == "p1m2n3"


def test_notes_come_in_print_order_whatever_their_age(wording, excerpt):
    late, early = wording(from_bar="3"), wording(from_bar="1")
    gone = wording(from_bar="4")
    BarNote.objects.filter(pk=gone.pk).update(from_bar="44")
    assert [note.pk for note in BarNote.objects.in_print_order(excerpt.score)] == [early.pk, late.pk, gone.pk]


def test_notes_outlive_their_author_and_go_with_their_music(wording, teacher, excerpt):
    note = wording()
    teacher.delete()
    note.refresh_from_db()
    assert note.author is None
    excerpt.delete()
    assert not BarNote.objects.exists()
