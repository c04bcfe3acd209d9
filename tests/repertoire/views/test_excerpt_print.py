"""The music on paper."""

import re

import pytest
from django.urls import reverse

from repertoire.paper.music import PrintedNote, PrintedPart, music_part, pdf_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def address(excerpt):
    return reverse("excerpt_print", args=[excerpt.pk])


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_prints_on_the_paper_asked_for(as_user, teacher, address, paper, size):
    response = as_user(teacher).get(address, {"paper": paper, "form": "1-2, 4"})
    assert response["Content-Type"] == "application/pdf"
    assert "private" in response["Cache-Control"]
    box = re.search(rb"/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", response.content)
    assert tuple(round(float(side)) for side in box.groups()) == size


@pytest.mark.parametrize("query", [{"paper": "napkin"}, {"form": "1-99"}, {"form": ","}])
def test_what_cannot_be_printed_is_not_there(as_user, teacher, address, query):
    assert as_user(teacher).get(address, query).status_code == 404


def test_anonymous_and_strangers(as_user, other_student_user, address):
    assert as_user(None).get(address).status_code == 302
    assert as_user(other_student_user).get(address).status_code == 404


def test_a_part_says_what_is_to_be_played_and_draws_the_rest_pale(excerpt):
    part = music_part(excerpt, order=(0, 1, 0, 1, 3))
    assert "To be played: bars 1-2, 1-2, 4" in part.lines
    assert "Bars printed pale are not asked for." in part.lines
    assert sum(drawing.count("unasked") for drawing in part.drawings) == 1


def test_words_are_printed_as_words_whatever_they_hold():
    nasty = PrintedPart('#panic("no") *a* $x$ \\', ["#import", "<b>"], (), (PrintedNote("[", "]#"),))
    assert pdf_of([nasty]).startswith(b"%PDF")
