"""A second reading of repeats and jumps, by music21, to hold against Verovio's."""

import warnings


def music21_order(musicxml: str, measure_count: int) -> tuple[tuple[int, ...] | None, int]:
    """The played measure indexes (None when music21 gives up) and how many jumps music21 saw.

    `measure_count` bars are expected; music21 gives up where it reads another number of them. Bars are marked
    before unfolding: music21 gives bars after a jump new numbers. A text, not a path, is handed over, so its
    pickle cache on disk, which others could write to, is never used. Raises nothing.
    """
    from music21 import converter, repeat, stream  # slow to import, and needed only when an excerpt is saved

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            parsed = converter.parseData(musicxml, format="musicxml")
            if not isinstance(parsed, stream.Score):
                return None, 0
            part = parsed.parts[0]
            measures = list(part.getElementsByClass("Measure"))
            if len(measures) != measure_count:
                return None, 0
            for index, measure in enumerate(measures):
                measure.editorial.printed_index = index
            jumps = len(list(part.recurse().getElementsByClass(repeat.RepeatExpressionCommand)))
            unfolded = part.expandRepeats()
    except Exception:  # a second opinion only: whatever stops it, the first reading stands, unconfirmed
        return None, 0
    played = [measure.editorial.get("printed_index") for measure in unfolded.getElementsByClass("Measure")]
    return tuple(played), jumps
