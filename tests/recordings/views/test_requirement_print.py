"""A requirement's music on paper."""

import pytest
from django.urls import reverse

from repertoire.models import BarNote, Fingering
from repertoire.notation.write.tempo_changes import TempoChange, write_tempos
from studio.services import requirement_print
from studio.services.requirement_print import requirement_pdf


@pytest.fixture
def url(entry, requirement):
    return reverse("requirement_print", args=[entry.pk, requirement.pk])


@pytest.fixture
def printed(monkeypatch):
    """The part as it is handed to the printer."""
    kept = []
    real = requirement_print.pdf_of
    monkeypatch.setattr(
        requirement_print, "pdf_of", lambda parts, **how: kept.extend(parts) or real(parts, **how)
    )
    return kept


@pytest.mark.parametrize("who", ["student_user", "teacher", "director", "guardian"])
def test_those_of_the_requirement_print_it(as_user, request, url, who):
    response = as_user(request.getfixturevalue(who)).get(url, {"paper": "letter", "numbers": "every"})
    assert response["Content-Type"] == "application/pdf"
    assert "private" in response["Cache-Control"]
    assert response.content.startswith(b"%PDF")


def test_anonymous_strangers_and_other_paper(as_user, other_student_user, student_user, url):
    assert as_user(None).get(url).status_code == 302
    assert as_user(other_student_user).get(url).status_code == 404
    assert as_user(student_user).get(url, {"paper": "napkin"}).status_code == 404


def test_the_pages_link_to_it(as_user, student_user, teacher, url, entry, requirement):
    page = reverse("requirement_takes", args=[entry.pk, requirement.pk])
    for user in (student_user, teacher):
        assert f'action="{url}"' in as_user(user).get(page).content.decode()


def test_it_has_the_requirements_tempo_bars_notes_and_fingering(requirement, teacher, printed):
    excerpt = requirement.excerpt
    excerpt.musicxml = write_tempos(excerpt.musicxml, [TempoChange("3", word="rit.")])
    excerpt.save()
    Fingering.objects.create(excerpt=excerpt, content_hash=excerpt.content_hash, shown={"p1m2n1": "4"})
    BarNote.objects.create(excerpt=excerpt, from_bar="2", to_bar="2", text="Lift here.", author=teacher)
    requirement.from_bar, requirement.to_bar, requirement.with_repeats = "2", "3", False
    requirement.marked_bpm, requirement.low_bpm, requirement.high_bpm = 70, 66, 75
    requirement_pdf(requirement, paper="a4", every_bar=False)
    [part] = printed
    assert "To be played: bars 2-3" in part.lines
    assert "quarter note = 70, 66 to 75 is fine" in part.lines
    assert "Bar 3: rit." in part.lines
    assert [note.text for note in part.notes] == [f"{BarNote().get_kind_display()}: Lift here."]
    assert 'class="fing"' in part.drawings[0]


def test_every_bar_is_numbered_on_request(requirement, printed):
    """Otherwise the first bar of every line but the piece's first, as is usual in print."""
    counts = []
    for every_bar in (False, True):
        requirement_pdf(requirement, paper="a4", every_bar=every_bar)
        counts.append(printed[-1].drawings[0].count('class="mNum '))
    assert counts == [0, 4]
