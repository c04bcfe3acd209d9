"""How often a score is parsed on its way from an upload to the page that shows it."""

import io
import re
import zipfile
from collections import Counter

import pytest
import verovio
from django.urls import reverse
from music21 import converter

from repertoire.models import Excerpt, excerpt
from repertoire.notation import xml
from repertoire.notation.read import safety
from repertoire.notation.read.reading import read_score
from tests.repertoire.notation import makers
from tests.repertoire.notation.foreign_makers import ABC

REPEATED = makers.piece(4, {2: ("", makers.repeat_end())})
XML, STORED, VEROVIO, MUSIC21 = "uploaded XML", "stored XML", "Verovio", "music21"


@pytest.fixture
def parses(monkeypatch) -> Counter:
    """What this process parses from now on, by whom; nothing is remembered from other tests."""
    counted: Counter = Counter()

    def count(owner, name: str, kind: str) -> None:
        real = getattr(owner, name)

        def counting(*args, **kwargs):
            counted[kind] += 1
            return real(*args, **kwargs)

        monkeypatch.setattr(owner, name, counting)

    count(safety, "iterparse", XML)
    count(xml, "fromstring", STORED)
    count(verovio.toolkit, "loadData", VEROVIO)
    count(converter, "parseData", MUSIC21)
    excerpt._score_of.cache_clear()
    return counted


def test_the_reader_parses_once(parses):
    read_score(REPEATED)
    assert parses == {XML: 1, VEROVIO: 1}


def test_a_zip_has_its_table_of_contents_beside(parses):
    packed = io.BytesIO()
    container = '<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>'
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("META-INF/container.xml", container)
        archive.writestr("score.xml", REPEATED)
    read_score(packed.getvalue())
    assert parses == {XML: 2, VEROVIO: 1}


def test_another_format_is_parsed_once_as_musicxml(parses):
    read_score(ABC)
    assert parses == {XML: 1, VEROVIO: 1}


@pytest.mark.django_db
def test_from_upload_to_page(parses, as_user, director, typed, score_file):
    """The web process parses nothing of an upload; the page reads the stored text and draws it, once each."""
    client = as_user(director)
    assert client.post(reverse("excerpt_add"), {**typed, "file": score_file(REPEATED)}).status_code == 302
    assert parses == {}
    page = reverse("excerpt_detail", args=[Excerpt.objects.get().pk])
    client.get(page)
    assert parses == {STORED: 2, VEROVIO: 1}
    client.get(page)
    assert parses == {STORED: 2, VEROVIO: 1}


@pytest.mark.django_db
def test_a_kept_score_is_parsed_once_a_request(parses, as_user, director, typed, score_file):
    """The form carries the text alone from request to request."""
    client, url = as_user(director), reverse("excerpt_add")
    asked = client.post(url, {**typed, "marked_bpm": "", "file": score_file(makers.piece(4))})
    kept = re.search(r'name="kept_score" value="([^"]+)"', asked.content.decode())[1]
    assert parses == {}
    client.post(url, {**typed, "kept_score": kept})
    assert Excerpt.objects.exists()
    assert parses == {STORED: 1}
