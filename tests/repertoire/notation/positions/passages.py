"""Four short public-domain passages, written out from memory; `python -m` this file prints their table."""

import time

from repertoire.notation.positions.boards import FINGERBOARDS
from repertoire.notation.positions.plan import lowest_first, plan

from .lines import read


def _fast(names: str, length: float = 0.25) -> str:
    return " ".join(f"{name}/{length}" for name in names.split())


_THEME = f"A5/.75 A5/.25 {_fast('A5 C6 B5 A5')} | E6/.75 E5/.25 {_fast('E5 G#5 F#5 E5')}"
_PRELUDE = "|".join(
    f"{_fast(half)} {_fast(half)}"
    for half in (
        "G3 D4 B4 A4 B4 D4 B4 D4",
        "G3 E4 C5 B4 C5 E4 C5 E4",
        "G3 F#4 C5 B4 C5 F#4 C5 F#4",
        "G3 G4 B4 A4 B4 G4 B4 G4",
    )
)
PASSAGES = {
    "N. Paganini, Caprice 24, theme, bars 1-4": (
        "violin",
        90,
        read(f"{_THEME} | {_THEME.split('|')[0]} | E6/.75 E5/.25 E5/1", beats=2),
    ),
    "J. S. Bach, Suite 1 BWV 1007, Prelude, bars 1-4, an octave up": ("viola", 66, read(_PRELUDE, fifths=1)),
    "C. Saint-Saens, The Swan, first two bars of the tune": (
        "cello",
        60,
        read("( G4 F#4 B3 E4 D4 G3 ) | ( A3/1.5 B3/.5 C4/4 )", fifths=1, beats=6),
    ),
    "L. van Beethoven, Symphony 9, finale, the basses' tune, bars 1-8": (
        "double_bass",
        132,
        read(
            "F#3 F#3 G3 A3 | A3 G3 F#3 E3 | D3 D3 E3 F#3 | F#3/1.5 E3/.5 E3/2 |"
            "F#3 F#3 G3 A3 | A3 G3 F#3 E3 | D3 D3 E3 F#3 | E3/1.5 D3/.5 D3/2",
            fifths=2,
            bass=True,
        ),
    ),
}


def sixty_bars():
    """A run of sixteenths up and down four octaves of keys, made for the clock and for nobody's ears."""
    steps = "CDEFGAB"
    bars = []
    for bar in range(60):
        names = []
        for k in range(16):
            turn = (bar * 5 + k) % 36
            up = turn if turn < 18 else 36 - turn
            names.append(f"{steps[up % 7]}{4 + up // 7}")
        bars.append(_fast(" ".join(names)))
    return read("|".join(bars))


def by_bar(counts: dict[int, int]) -> str:
    return " ".join(str(counts[index]) for index in sorted(counts))


def main() -> None:
    for title, (instrument, bpm, canonical) in PASSAGES.items():
        board = FINGERBOARDS[instrument]
        began = time.perf_counter()
        planned = plan(canonical.score, board=board, quarter_bpm=bpm)
        took_ms = 1000 * (time.perf_counter() - began)
        naive = lowest_first(canonical.score, board=board, quarter_bpm=bpm)
        print(f"{title} ({instrument})")
        print(f"  note by note: {by_bar(naive.shifts_by_measure())}, cost {naive.cost}")
        print(f"  planned:      {by_bar(planned.shifts_by_measure())}, cost {planned.cost}, {took_ms:.0f} ms")
        print("  " + " ".join(f"{['I', 'II', 'III', 'IV'][n.string]}.{n.finger}" for n in planned.notes[:24]))
    score = sixty_bars().score
    began = time.perf_counter()
    plan(score, board=FINGERBOARDS["violin"], quarter_bpm=90)
    print(f"60 bars, {len(score.notes)} notes: {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    main()
