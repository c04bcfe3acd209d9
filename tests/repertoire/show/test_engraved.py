import threading
import xml.etree.ElementTree as ET

import pytest
from django.core.cache import caches

from repertoire.show import engraved
from repertoire.show.engraved import DESK_PX, PHONE_PX, drawn_width, engraved_svg, likely_width
from tests.refusals import refusal

pytestmark = pytest.mark.django_db


def ids_in(svg: str) -> set[str]:
    return {element.get("id") for element in ET.fromstring(svg).iter() if element.get("id")}


@pytest.mark.parametrize("width_px", [PHONE_PX, DESK_PX])
def test_ids_of_notes_and_bars_are_those_of_the_score(excerpt, width_px):
    ids = ids_in(engraved_svg(excerpt, width_px))
    assert {note.note_id for note in excerpt.score.notes} <= ids
    assert {measure.measure_id for measure in excerpt.score.measures} <= ids


def test_only_the_asked_bars_are_drawn(excerpt):
    ids = ids_in(engraved_svg(excerpt, DESK_PX, bars=("2", "3")))
    drawn = [measure.number for measure in excerpt.score.measures if measure.measure_id in ids]
    assert drawn == ["2", "3"]


def test_bars_that_are_not_there_are_reported(excerpt):
    with refusal("Bar 77"):
        engraved_svg(excerpt, DESK_PX, bars=("1", "77"))


def test_drawn_once_for_content_and_width(excerpt, monkeypatch):
    first = engraved_svg(excerpt, DESK_PX)
    monkeypatch.setattr(engraved, "engrave", lambda *args, **kwargs: pytest.fail("drawn again"))
    assert engraved_svg(excerpt, DESK_PX + 3) == first


def test_drawings_do_not_crowd_out_the_counts_of_sign_ins(excerpt):
    engraved_svg(excerpt, DESK_PX)
    key = engraved.drawing_key(excerpt, DESK_PX)
    assert key in caches["drawings"]
    assert key not in caches["default"]


def test_draws_in_a_thread_as_a_web_server_does(excerpt):
    drawn = []
    thread = threading.Thread(target=lambda: drawn.append(engraved_svg(excerpt, DESK_PX)))
    thread.start()
    thread.join()
    assert "p1m1n1" in ids_in(drawn[0])


@pytest.mark.parametrize(("asked", "drawn"), [(0, 320), (333, 320), (1085, 1080), (10**6, 1800)])
def test_widths_come_in_steps_within_limits(asked, drawn):
    assert drawn_width(asked) == drawn


def test_phones_get_a_narrow_first_drawing():
    assert likely_width({"User-Agent": "Mozilla/5.0 (iPhone) Mobile/15E148"}) == PHONE_PX
    assert likely_width({"Sec-CH-UA-Mobile": "?1"}) == PHONE_PX
    assert likely_width({"User-Agent": "Mozilla/5.0 (X11; Linux x86_64)"}) == DESK_PX


def test_bars_not_asked_are_pale_and_the_kept_drawing_stays_whole(excerpt):
    pale = engraved_svg(excerpt, DESK_PX, unasked={"p1m2"})
    assert 'id="p1m2" opacity="0.28" class="measure unasked"' in pale
    assert pale.count("unasked") == 1
    assert "unasked" not in engraved_svg(excerpt, DESK_PX)


def test_other_fingerings_are_another_drawing(excerpt):
    first = engraved_svg(excerpt, DESK_PX, fingerings={"p1m1n1": "1"})
    assert engraved_svg(excerpt, DESK_PX, fingerings={"p1m1n1": "3"}) != first
    assert engraved_svg(excerpt, DESK_PX, fingerings={"p1m1n1": "1"}) == first
