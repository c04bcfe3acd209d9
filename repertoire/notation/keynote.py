"""The keynote a piece begins in: as its file says, or found from its notes where the file says nothing.

Many programs write a key signature without saying major or minor, and some music has no signature at all.
"""

from collections import Counter, defaultdict

from repertoire.notation.pitches import SEMITONES, WrittenPitch, fifths_of
from repertoire.notation.score import MINOR_ABOVE, Measure, Note, Score

# Without a signature the notes may tell any key; C major and A minor are given up only for a clear winner.
CLEARLY_BETTER = 0.1  # of correlation; common practice, no published source
LEAST_NOTES = 12


def keynote(score: Score) -> int | None:
    """Written keynote at the start on the line of fifths, C at 0; None for a score without bars.

    Where no mode is given, the key with this signature whose profile the lengths of the notes up to the next
    signature fit better: the profiles of D. Temperley ("What's key for key?", Music Perception 17, 1999,
    with the corpus of Kostka and Payne), as music21 has them.
    """
    if not score.measures:
        return None
    first = score.measures[0]
    if first.mode:
        return first.keynote
    notes = _until_next_signature(score, first)
    if len(notes) < LEAST_NOTES:
        return first.keynote
    fits = _fits(notes)
    pair = {first.fifths: "major", first.fifths + MINOR_ABOVE: "minor"}
    best = max(pair, key=lambda place: fits[place * 7 % 12, pair[place]])
    if first.fifths == 0:
        winner = max(fits, key=lambda key: fits[key])
        if fits[winner] - fits[best * 7 % 12, pair[best]] > CLEARLY_BETTER:
            return _spelled(winner[0], notes)
    return best


def _until_next_signature(score: Score, first: Measure) -> list[Note]:
    changed = next((m.index for m in score.measures if m.fifths != first.fifths), len(score.measures))
    return [note for note in score.notes if note.measure_index < changed and note.duration_q > 0]


def _fits(notes: list[Note]) -> dict[tuple[int, str], float]:
    """Correlation of each of the 24 keys, by pitch class of its keynote and mode."""
    from music21 import note, stream  # slow to import, and needed only where a file gives no mode

    lengths: dict[int, float] = defaultdict(float)
    for each in notes:
        lengths[(SEMITONES[each.written_step] + each.written_alter) % 12] += each.duration_q
    sounding: stream.Stream = stream.Stream()
    sounding.append([note.Note(pc, quarterLength=length) for pc, length in lengths.items()])
    found = sounding.analyze("key.temperleykostkapayne")
    every = [found, *found.alternateInterpretations]
    return {(each.tonic.pitchClass, each.mode): each.correlationCoefficient for each in every}


def _spelled(pitch_class: int, notes: list[Note]) -> int:
    """The keynote's place as the notes spell it; between six flats and five sharps where they never do."""
    names = Counter(
        (n.written_step, n.written_alter)
        for n in notes
        if WrittenPitch(n.written_step, n.written_alter, 4).midi % 12 == pitch_class
    )
    if names:
        return fifths_of(*names.most_common(1)[0][0])
    return (pitch_class * 7 + 6) % 12 - 6
