"""A two-bar tune as a Form, small enough to know every time in it by heart."""

from repertoire.notation.score import Form, Measure, Note, PlayedBar, PlayedNote, Score

SCALE = (67, 69, 71, 72, 74, 76, 78, 79)
NAMES = (("G", 0), ("A", 0), ("B", 0), ("C", 0), ("D", 0), ("E", 0), ("F", 1), ("G", 0))


def two_bars() -> Form:
    """Two bars of four quarters, a G major scale upwards, nothing slurred."""
    measures = tuple(Measure(f"m{n}", n, str(n + 1), 4.0, 4, 4, 1, "major") for n in range(2))
    notes = tuple(
        Note(f"n{n}", n // 4, float(n % 4), 1.0, midi, step, alter, 4)
        for n, (midi, (step, alter)) in enumerate(zip(SCALE, NAMES, strict=True))
    )
    score = Score("Two bars", "Violin", 0, measures, notes, (0, 1))
    bars = tuple(PlayedBar(n, n, 1, 4.0 * n) for n in range(2))
    played = tuple(PlayedNote(note, note.measure_index, 1, float(n), 1.0) for n, note in enumerate(notes))
    return Form(score, bars, played, 8.0)
