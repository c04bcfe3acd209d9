from repertoire.notation.read.reading import read_score
from repertoire.show.spoken import spoken_bars
from tests.repertoire.notation import makers


def wording(*inside: str) -> list[str]:
    bars = [f'<measure number="{number}">{bar}</measure>' for number, bar in enumerate(inside, 1)]
    return [bar.text for bar in spoken_bars(read_score(makers.score(makers.part(bars))).score)]


HEAD = makers.attributes()


def test_notes_values_and_accidentals_in_order():
    notes = makers.note("B", 4, 4, alter=-1, kind="half") + makers.note("F", 5, alter=1) + makers.note("C", 5)
    assert wording(HEAD + notes) == [
        "C major; 4/4; B flat 4 half note, F sharp 5 quarter note, C 5 quarter note"
    ]


def test_key_and_metre_only_where_they_change():
    full = makers.note("C", 5, 8, kind="whole")
    three = makers.note("C", 5, 6, kind="half")
    assert wording(HEAD + full, full, makers.attributes(beats=3) + three) == [
        "C major; 4/4; C 5 whole note",
        "C 5 whole note",
        "3/4; C 5 dotted half note",
    ]


def test_rests_chords_and_graces():
    bar = (
        HEAD
        + makers.rest(2)
        + makers.note("D", 5, head="<grace/>", kind="eighth")
        + makers.note("C", 5)
        + makers.note("E", 5, head="<chord/>")
        + makers.rest(4)
    )
    assert wording(bar) == [
        "C major; 4/4; rest, quarter note, grace note D 5, C 5 with E 5 quarter note, rest, half note"
    ]


def test_marks_dynamics_and_hairpins():
    forte = "<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>"
    marked = "<articulations><accent/><staccato/></articulations>"
    bar = HEAD + forte + makers.note("C", 5, 8, kind="whole", notations=marked)
    assert wording(bar) == ["C major; 4/4; f at beat 1; C 5 whole note staccato accent"]


def test_a_bar_of_rest():
    full = makers.note("C", 5, 8, kind="whole")
    assert wording(HEAD + full, makers.rest(8))[1] == "no new note"
