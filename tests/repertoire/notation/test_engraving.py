"""The drawing: ids, places, sameness, and nothing in it that a strict page would refuse."""

import re

import pytest

from repertoire.notation.draw import engraving
from repertoire.notation.draw.engraving import engrave
from repertoire.notation.read.reading import CanonicalScore, read_score
from tests.refusals import refusal
from tests.repertoire.notation.drawing import measured

from .makers import attributes, ending, jump, note, part, piece, score, words

METRONOME = "<metronome><beat-unit>{unit}</beat-unit><per-minute>96</per-minute></metronome>"


def rich() -> CanonicalScore:
    """Ties, a chord, a grace note, two voices, an ending, a tempo mark and a transposition."""
    tie, tied = '<tie type="start"/>', '<tie type="stop"/>'
    mark = jump(METRONOME.format(unit="quarter"), 'tempo="96"')
    horn = "<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>"
    each = (
        f'<measure number="1">{attributes(transpose=horn)}{mark}{note("C")}{note("E", head="<chord/>")}'
        f"{note('D', head='<grace/>')}{note('G') * 2}{note('A', after_duration=tie)}"
        f"<backup><duration>8</duration></backup>{note('C', 4, 8, kind='whole', voice=2)}</measure>"
    )
    two = f'<measure number="2">{note("A", after_duration=tied)}{note("B") * 3}</measure>'
    three = (
        f'<measure number="3">{ending("1", "start")}{note() * 4}{ending("1", "stop", repeat=True)}</measure>'
    )
    four = f'<measure number="4">{ending("2", "start")}{note() * 4}{ending("2", "discontinue")}</measure>'
    return read_score(score(part([each, two, three, four])))


def test_every_note_and_bar_of_the_score_is_in_the_drawing_under_its_id():
    canonical = rich()
    drawn = measured(engrave(canonical.musicxml, width_px=800))
    for read in canonical.score.notes:
        for note_id in (read.note_id, *read.tied_ids):
            assert drawn.svg.count(f'id="{note_id}"') == 1
            assert note_id in drawn.note_boxes
    for measure in canonical.score.measures:
        assert drawn.svg.count(f'id="{measure.measure_id}"') == 1
        assert measure.measure_id in drawn.measure_boxes


def test_same_score_and_width_give_the_same_drawing():
    canonical = rich()
    assert engrave(canonical.musicxml, width_px=800) == engrave(canonical.musicxml, width_px=800)


def test_systems_run_on_down_one_tall_page_within_the_width():
    drawn = measured(engrave(read_score(piece(40)).musicxml, width_px=360))
    assert drawn.width == 360
    assert len(drawn.systems) > 10
    assert [key for system in drawn.systems for key in system.measure_ids] == [
        f"p1m{k}" for k in range(1, 41)
    ]
    tops = [system.top for system in drawn.systems]
    assert tops == sorted(tops)
    assert drawn.systems[-1].bottom < drawn.height
    for box in drawn.measure_boxes.values():
        assert box.x >= 0
        assert box.x + box.width <= drawn.width


def test_music_taller_than_one_page_is_stacked(monkeypatch):
    canonical = read_score(piece(40))
    whole = measured(engrave(canonical.musicxml, width_px=360))
    monkeypatch.setattr(engraving, "TALLEST_PX", 2000)
    stacked = measured(engrave(canonical.musicxml, width_px=360))
    assert set(stacked.measure_boxes) == set(whole.measure_boxes)
    assert stacked.svg.count('class="measure"') == 40
    assert f'viewBox="0 0 360 {stacked.height:g}"' in stacked.svg[:400]
    tops = [system.top for system in stacked.systems]
    assert tops == sorted(tops)
    assert tops[-1] < stacked.height


def test_room_for_ribbons_under_every_staff():
    canonical = read_score(piece(24))
    roomy = measured(engrave(canonical.musicxml, width_px=700))
    tight = measured(engrave(canonical.musicxml, width_px=700, ribbon_room=False))
    gaps = [below.top - above.bottom for above, below in zip(roomy.systems, roomy.systems[1:], strict=False)]
    assert min(gaps) > 110
    assert roomy.height - roomy.systems[-1].bottom > 110
    assert tight.height < roomy.height


def test_noteheads_stand_in_their_bars_in_order():
    drawn = measured(engrave(read_score(piece(4)).musicxml, width_px=800))
    for k in range(1, 5):
        bar = drawn.measure_boxes[f"p1m{k}"]
        xs = [drawn.note_boxes[f"p1m{k}n{n}"].x for n in range(1, 5)]
        assert xs == sorted(xs)
        assert bar.x < xs[0]
        assert xs[-1] < bar.x + bar.width


def test_bar_numbers_are_printed():
    drawn = measured(engrave(read_score(piece(3)).musicxml, width_px=800))
    assert re.findall(r'class="measure" data-n="(\d+)"', drawn.svg) == ["1", "2", "3"]
    assert drawn.svg.count("mNum") >= 3


def test_only_the_asked_bars_are_drawn():
    canonical = read_score(piece(12))
    drawn = measured(engrave(canonical.musicxml, width_px=800, bars=("5", "8")))
    assert list(drawn.measure_boxes) == ["p1m5", "p1m6", "p1m7", "p1m8"]
    with refusal("Bar 13 is not in this score"):
        engrave(canonical.musicxml, width_px=800, bars=("5", "13"))


def test_no_style_no_font_and_no_live_text():
    nasty = jump(words("&lt;script&gt;alert(1)&lt;/script&gt;"), 'tempo="90"')
    svg = engrave(read_score(piece(2, {1: (nasty, "")})).musicxml, width_px=800)
    assert "<style" not in svg
    assert "@font-face" not in svg
    assert "<script" not in svg
    assert "&lt;script&gt;" in svg
    assert not re.search(r"\sstyle=", svg)


@pytest.mark.parametrize(("unit", "shown"), [("quarter", "♩"), ("eighth", "♪"), ("half", "half note")])
def test_metronome_marks_use_characters_every_font_has(unit, shown):
    mark = jump(METRONOME.format(unit=unit), 'tempo="96"')
    svg = engrave(read_score(piece(1, {1: (mark, "")})).musicxml, width_px=800)
    assert shown in svg
    assert not re.search("[\ue000-\uf8ff]", svg)


def test_music_is_drawn_in_the_pages_own_colour():
    svg = engrave(rich().musicxml, width_px=800)
    assert 'fill="currentColor"' in svg
    assert 'color="black"' not in svg


def test_fingerings_are_drawn_at_their_notes_and_take_the_place_of_printed_ones():
    printed = note(notations="<technical><fingering>9</fingering></technical>")
    stored = read_score(score(part([f'<measure number="1">{attributes()}{printed}{note() * 3}</measure>'])))
    drawn = engrave(stored.musicxml, width_px=800, fingerings={"p1m1n1": "2", "p1m1n3": "4"})
    fingers = re.findall(r'class="fing\b.*?<tspan[^>]*>\s*<tspan[^>]*>([^<]*)<', drawn, re.DOTALL)
    assert sorted(fingers) == ["2", "4"]
    assert "<fingering>9</fingering>" in stored.musicxml


def test_bar_numbers_stand_at_every_bar_or_at_each_system_only():
    stored = read_score(piece(12))
    for every_bar, count in ((True, 12), (False, None)):
        drawn = measured(engrave(stored.musicxml, width_px=500, every_bar=every_bar))
        wanted = count or len(drawn.systems)
        assert drawn.svg.count('class="mNum') in (wanted, wanted - 1)  # the first bar may go without


def test_the_number_of_a_bar_does_not_stand_on_the_bracket_of_its_ending():
    svg = engrave(rich().musicxml, width_px=800)
    brackets = re.findall(r'class="voltaBracket">.*?<path d="M(-?\d+) (-?\d+) L', svg, re.DOTALL)
    numbers = [
        (int(x), int(y)) for x, y in re.findall(r'class="mNum\b[^>]*>\s*<text[^>]*x="(\d+)" y="(-?\d+)"', svg)
    ]
    assert len(brackets) == 2
    for x, y in brackets:
        near = [number_y for number_x, number_y in numbers if abs(number_x - int(x)) < 400]
        assert near
        assert all(number_y < int(y) for number_y in near)


def test_pages_for_paper_keep_within_their_height_and_lose_no_bar():
    stored = read_score(piece(120))
    pages = engraving.engrave_pages(stored.musicxml, width_px=700, height_px=600)
    assert len(pages) > 1
    for page in pages:
        assert float(re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', page)[1]) <= 600
    assert sum(page.count('class="measure"') for page in pages) == 120
