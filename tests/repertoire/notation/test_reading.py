"""What a score says once it is read: pitches, ties, voices, marks, labels, ids."""

import pytest

from repertoire.notation.read.reading import load_canonical, read_score, read_score_in_child
from tests.refusals import refusal

from . import makers
from .makers import attributes, bars, note, part, piece, rest, score, words


def one_bar(content: str, **head) -> "object":
    return read_score(score(part([f'<measure number="1">{attributes(**head)}{content}</measure>']))).score


def test_reads_bars_and_notes_with_positions():
    read = read_score(piece(2)).score
    assert [measure.number for measure in read.measures] == ["1", "2"]
    assert [measure.length_q for measure in read.measures] == [4.0, 4.0]
    assert [(n.start_q, n.duration_q) for n in read.notes_in(0)] == [(0, 1), (1, 1), (2, 1), (3, 1)]
    assert read.part_name == "Violin"


def test_ids_count_in_document_order_and_survive_a_second_reading():
    first = read_score(piece(3))
    second = read_score(first.musicxml.encode())
    assert [measure.measure_id for measure in first.score.measures] == ["p1m1", "p1m2", "p1m3"]
    assert first.score.notes_in(1)[2].note_id == "p1m2n3"
    assert second.musicxml == first.musicxml
    assert load_canonical(first.musicxml) == first.score


def test_foreign_ids_are_replaced():
    data = piece(1).replace(b"<note>", b'<note id="p1m9n9">')
    assert [n.note_id for n in read_score(data).score.notes] == ["p1m1n1", "p1m1n2", "p1m1n3", "p1m1n4"]


# Transpositions as in common practice (from memory): horn in F down a fifth, double bass down an octave.
@pytest.mark.parametrize(
    ("transpose", "semitones"),
    [
        ("<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>", -7),
        ("<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>", -12),
        ("<transpose><chromatic>-2</chromatic><octave-change>-1</octave-change></transpose>", -14),
        ("", 0),
    ],
)
def test_sounding_pitch_through_transposition(transpose, semitones):
    read = one_bar(note("C", 5), transpose=transpose)
    assert read.transposition == semitones
    assert read.notes[0].midi == 72 + semitones
    assert (read.notes[0].written_step, read.notes[0].written_octave) == ("C", 5)


def test_written_alterations_sound():
    read = one_bar(note("B", 4, alter=-1) + note("F", 5, alter=1))
    assert [n.midi for n in read.notes] == [70, 78]
    assert [n.written_alter for n in read.notes] == [-1, 1]


def test_ties_are_merged_across_the_barline():
    start, both, stop = '<tie type="start"/>', '<tie type="stop"/><tie type="start"/>', '<tie type="stop"/>'
    first = f'<measure number="1">{attributes()}{rest(6)}{note("A", after_duration=start)}</measure>'
    second = f'<measure number="2">{note("A", duration=8, kind="whole", after_duration=both)}</measure>'
    third = f'<measure number="3">{note("A", after_duration=stop)}{note("A")}{rest(4)}</measure>'
    notes = read_score(score(part([first, second, third]))).score.notes
    assert [(n.note_id, n.duration_q) for n in notes] == [("p1m1n2", 6.0), ("p1m3n2", 1.0)]
    assert notes[0].tied_ids == ("p1m2n1", "p1m3n1")
    assert notes[0].tied_at == ((1, 0.0, 4.0), (2, 0.0, 1.0))


def test_tie_joins_only_the_same_pitch_of_a_chord():
    tie = '<tie type="start"/>'
    content = (
        note("C", after_duration=tie)
        + note("E", head="<chord/>")
        + note("C", after_duration='<tie type="stop"/>')
        + note("E", head="<chord/>")
    )
    notes = one_bar(content).notes
    assert [(n.written_step, n.start_q, n.duration_q) for n in notes] == [
        ("C", 0, 2),
        ("E", 0, 1),
        ("E", 1, 1),
    ]
    assert [n.chord for n in notes] == [True, True, False]


def test_voices_go_back_and_forward():
    content = (
        note("C", duration=8, kind="whole")
        + "<backup><duration>8</duration></backup><forward><duration>4</duration></forward>"
        + note("E", 4, 4, kind="half", voice=2)
    )
    read = one_bar(content)
    assert [(n.written_step, n.start_q, n.voice) for n in read.notes] == [("C", 0, 1), ("E", 2, 2)]
    assert read.measures[0].length_q == 4


def test_grace_notes_stand_before_their_main_note_without_length():
    read = one_bar(note("D", head="<grace/>") + note("E", head="<grace/>") + note("C"))
    assert [(n.written_step, n.grace, n.start_q, n.duration_q) for n in read.notes] == [
        ("D", True, 0, 0),
        ("E", True, 0, 0),
        ("C", False, 0, 1),
    ]
    assert not any(n.chord for n in read.notes)


def test_printed_marks_on_notes():
    trill = "<ornaments><trill-mark/></ornaments>"
    tremolo = '<ornaments><tremolo type="single">3</tremolo></ornaments>'
    articulated = "<articulations><staccato/><accent/></articulations><fermata/>"
    read = one_bar(note(notations=trill) + note(notations=tremolo) + note(notations=articulated))
    first, second, third = read.notes
    assert first.trill
    assert second.tremolo
    assert (third.staccato, third.accent, third.tenuto, third.fermata) == (True, True, False, True)


def test_slur_holds_until_its_last_note():
    start, stop = '<slur type="start" number="1"/>', '<slur type="stop" number="1"/>'
    read = one_bar(note("C", notations=start) + note("D") + note("E", notations=stop) + note("F"))
    assert [n.slurred_to_next for n in read.notes] == [True, True, False, False]


def test_slur_that_stops_and_starts_on_one_note():
    start, stop = '<slur type="start" number="1"/>', '<slur type="stop" number="1"/>'
    turn = stop + '<slur type="start" number="2"/>'
    end = '<slur type="stop" number="2"/>'
    read = one_bar(note("C", notations=start) + note("D", notations=turn) + note("E", notations=end))
    assert [n.slurred_to_next for n in read.notes] == [True, True, False]


def test_cue_and_hidden_notes_are_not_for_the_player():
    content = note("C", head="<cue/>") + note("D").replace("<note>", '<note print-object="no">') + note("E")
    read = one_bar(content)
    assert [(n.note_id, n.start_q) for n in read.notes] == [("p1m1n3", 2.0)]


def direction(kind: str, extra: str = "") -> str:
    return f"<direction><direction-type>{kind}</direction-type>{extra}</direction>"


def test_dynamics_and_hairpins_have_places():
    marks = {
        1: (direction("<dynamics><p/></dynamics>"), direction('<wedge type="crescendo"/>')),
        3: (direction('<wedge type="stop"/>') + direction("<dynamics><f/></dynamics>"), ""),
    }
    read = read_score(piece(3, marks)).score
    assert [(d.measure_index, d.start_q, d.text) for d in read.dynamics] == [(0, 0, "p"), (2, 0, "f")]
    (pin,) = read.hairpins
    assert (pin.kind, pin.start_measure, pin.start_q, pin.end_measure, pin.end_q) == ("crescendo", 0, 4, 2, 0)


def test_hairpin_without_an_end_runs_to_the_end():
    read = read_score(piece(2, {1: (direction('<wedge type="diminuendo"/>'), "")})).score
    assert [(pin.end_measure, pin.end_q) for pin in read.hairpins] == [(1, 4.0)]


METRONOME = (
    "<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 60</per-minute></metronome>"
)


@pytest.mark.parametrize(
    ("mark", "bpm", "beat_unit_q", "text", "printed"),
    [
        (direction(METRONOME), 60, 1.5, "", True),
        (direction(METRONOME, '<sound tempo="90"/>'), 60, 1.5, "", True),
        (direction(words("Allegro"), '<sound tempo="132"/>'), 132, 1.0, "Allegro", False),
        ('<sound tempo="72"/>', 72, 1.0, "", False),
        (direction(words("poco rit.")), None, 1.0, "poco rit.", True),
    ],
)
def test_tempo_marks(mark, bpm, beat_unit_q, text, printed):
    (tempo,) = read_score(piece(1, {1: (mark, "")})).score.tempo_marks
    assert (tempo.bpm, tempo.beat_unit_q, tempo.text) == (bpm, beat_unit_q, text)
    assert tempo.printed_bpm == (bpm if printed else None)


@pytest.mark.parametrize("tempo", ["nan", "1e999", "-5", "fast", ""])
def test_a_tempo_that_is_no_number_is_left_out(tempo):
    score = read_score(piece(1, {1: (f'<sound tempo="{tempo}"/>', "")}))
    assert score.score.tempo_marks == ()
    assert "tempo=" not in score.musicxml


def test_words_that_are_no_tempo_are_left():
    assert read_score(piece(1, {1: (direction(words("dolce")), "")})).score.tempo_marks == ()


def test_key_metre_and_compound_beat():
    read = one_bar(note("G"), fifths=-3, mode="minor", beats=6, beat_type=8)
    measure = read.measures[0]
    assert (measure.fifths, measure.mode, measure.beats, measure.beat_type) == (-3, "minor", 6, 8)
    assert measure.beat_q == 1.5


def test_pickup_keeps_its_real_length_and_label():
    pickup = f'<measure number="0" implicit="yes">{attributes()}{note("G")}</measure>'
    read = read_score(score(part([pickup, *[b.replace(attributes(), "") for b in bars(2)]]))).score
    assert [(m.number, m.length_q) for m in read.measures] == [("0", 1.0), ("1", 4.0), ("2", 4.0)]


def test_unnumbered_half_of_a_split_bar_keeps_its_bars_number():
    first = f'<measure number="1">{attributes()}{note()}{note()}</measure>'
    rest_of_it = f'<measure number="X1" implicit="yes">{note()}{note()}</measure>'
    read = read_score(score(part([first, rest_of_it, f'<measure number="2">{note()}</measure>']))).score
    assert [m.number for m in read.measures] == ["1", "1", "2"]


def test_empty_bar_has_the_length_of_its_metre():
    silent = '<measure number="2"><note><rest measure="yes"/><duration>8</duration></note></measure>'
    first = f'<measure number="1">{attributes(beats=3)}{note()}{note()}{note()}</measure>'
    assert read_score(score(part([first, silent]))).score.measures[1].length_q == 3.0


def test_first_part_with_notes_is_read_unless_another_is_named():
    silent = part([f'<measure number="1">{attributes()}{rest(8)}</measure>'])
    flute = part(bars(2), part_id="P2")
    horn = part(bars(3), part_id="P3")
    data = score(silent, flute, horn, names=("Drum", "Flute", "Horn"))
    assert read_score(data).score.part_name == "Flute"
    assert read_score(data).score.measures[0].measure_id == "p2m1"
    assert len(read_score(data, part="Horn").score.measures) == 3
    with refusal(r"no part called Oboe; it has Drum, Flute, Horn"):
        read_score(data, part="Oboe")


def test_title_and_composer():
    head = (
        "<work><work-title>Six studies</work-title></work><movement-title>Third</movement-title>"
        '<identification><creator type="composer">A. Invented</creator></identification>'
    )
    read = read_score(score(part(bars(1)), head=head)).score
    assert (read.title, read.composer) == ("Six studies: Third", "A. Invented")


def test_title_printed_only_as_a_credit():
    head = "<credit><credit-type>title</credit-type><credit-words>Evening study</credit-words></credit>"
    assert read_score(score(part(bars(1)), head=head)).score.title == "Evening study"


def test_mxl_reads_the_same_as_its_text():
    data = piece(2)
    assert read_score(makers.zipped({"score.xml": data}), filename="x.mxl") == read_score(data)


def test_child_reads_the_same_and_passes_the_sentence_on():
    data = piece(2)
    assert read_score_in_child(data, filename="study.musicxml") == read_score(data)
    with refusal("not a MusicXML file"):
        read_score_in_child(b"just words", filename="study.musicxml")
