"""Our reading of pitches, starts, lengths and ties against music21's, on the project's own scores."""

from itertools import accumulate
from pathlib import Path

import pytest
from music21 import converter

from repertoire.notation.read.reading import read_score
from repertoire.notation.score import Score

from .makers import attributes, note, part, score

SCORES = sorted((Path(__file__).resolve().parents[3] / "fixtures" / "scores").glob("*.musicxml"))


def theirs(musicxml: str) -> list[tuple[float, float, int]]:
    """(start from the beginning, length, sounding MIDI) of every struck note, as music21 reads the file."""
    first = converter.parseData(musicxml, format="musicxml").parts[0].toSoundingPitch()
    struck = first.stripTies().flatten().notes
    return sorted(
        (round(float(element.offset), 6), round(float(element.quarterLength), 6), pitch.midi)
        for element in struck
        for pitch in element.pitches
    )


def ours(read: Score) -> list[tuple[float, float, int]]:
    starts = [0.0, *accumulate(measure.length_q for measure in read.measures)]
    return sorted(
        (round(starts[n.measure_index] + n.start_q, 6), round(n.duration_q, 6), n.midi) for n in read.notes
    )


def hard() -> bytes:
    """A transposing part with a pickup, voices, chords, triplets, a tie and a grace note."""
    tie, tied = '<tie type="start"/>', '<tie type="stop"/>'
    triplet = (
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    )
    clarinet = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    three = "".join(
        note(step, duration=2, kind="eighth").replace("</type>", f"</type>{triplet}") for step in "CDE"
    )
    head = attributes(divisions=6, transpose=clarinet)
    pickup = f'<measure number="0" implicit="yes">{head}{note("G", duration=6)}</measure>'
    each = (
        f'<measure number="1">{note("F", duration=6, alter=1)}{note("A", duration=6, head="<chord/>")}{three}'
        f"{note('B', duration=12, kind='half', after_duration=tie)}<backup><duration>24</duration></backup>"
        f"{note('D', 4, 24, kind='whole', voice=2)}</measure>"
    )
    two = (
        f'<measure number="2">{note("B", duration=6, after_duration=tied)}{note("C", head="<grace/>")}'
        f"{note('D', duration=18, kind='half')}</measure>"
    )
    return score(part([pickup, each, two]))


@pytest.mark.parametrize(
    "data", [hard(), *(path.read_bytes() for path in SCORES)], ids=lambda data: f"{len(data)}b"
)
def test_notes_agree_with_music21(data):
    canonical = read_score(data)
    assert ours(canonical.score) == theirs(canonical.musicxml)
