"""`manage.py find_music RECORDING SCORE...`: where in a long recording which bars are played."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from repertoire.wording.words import words

LONGEST_S = 4 * 3600.0


class Command(BaseCommand):
    help = (
        "Find every stretch of a long recording in which bars of these scores are played, with talk between."
    )
    requires_system_checks = ()

    def add_arguments(self, parser) -> None:
        parser.add_argument("recording", type=Path)
        parser.add_argument("scores", type=Path, nargs="+", metavar="score", help=".musicxml or .mxl")
        parser.add_argument("--json", type=Path, metavar="FILE", help="write the stretches here as well")

    def handle(self, *args, recording: Path, scores: list[Path], json: Path | None, **options) -> None:
        found = find(recording, scores)
        for stretch in found:
            self.stdout.write(line(stretch))
        if not found:
            self.stdout.write("None of these pieces was heard in this recording.")
        if json:
            write(json, found)


def find(recording: Path, scores: list[Path]) -> tuple:
    """The stretches; what a person can mend is raised as `CommandError`."""
    from recordings.analysis.recording.decode import NotAudio, decode
    from recordings.analysis.stretches.find import find_music
    from recordings.analysis.stretches.pieces import Piece
    from repertoire.notation.read import reading
    from repertoire.notation.score import BadScore

    pieces = []
    for path in scores:
        try:
            score = reading.read_score(path.read_bytes(), filename=path.name).score
        except BadScore as trouble:
            raise CommandError(f"{path.name}: {words(trouble.sentence)}") from trouble
        except OSError as trouble:
            raise CommandError(f"{trouble.filename}: {trouble.strerror}") from trouble
        pieces.append(Piece(path.stem, score))
    try:
        audio = decode(recording, max_seconds=LONGEST_S)
    except NotAudio as trouble:
        raise CommandError(words(trouble.sentence)) from trouble
    except OSError as trouble:
        raise CommandError(f"{trouble.filename}: {trouble.strerror}") from trouble
    return find_music(audio.samples, pieces, sample_rate=audio.sample_rate)


def line(stretch) -> str:
    """One stretch in words."""
    from repertoire.notation.numerals import clock

    moved = stretch.transposed_semitones
    where = f", {abs(moved)} semitones {'above' if moved > 0 else 'below'} print" if moved else ""
    percent = round(100 * stretch.tempo_ratio)
    return (
        f"{clock(stretch.start_s)} to {clock(stretch.end_s)}  {stretch.piece}, bars {stretch.bars}, "
        f"about {percent} % of the printed tempo{where} (confidence {stretch.confidence:.2f})"
    )


def write(path: Path, found: tuple) -> None:
    from dataclasses import asdict

    listed = [{**asdict(stretch), "bars": stretch.bars} for stretch in found]
    path.write_text(json.dumps(listed, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
