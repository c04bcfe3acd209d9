"""`manage.py analyse SCORE AUDIO`: measure one recording against one score, without the database."""

import json
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from repertoire.wording.words import words


class Command(BaseCommand):
    help = "Measure one recording against one score (.musicxml or .mxl) and print what was found."
    requires_system_checks = ()

    def add_arguments(self, parser) -> None:
        parser.add_argument("score", type=Path)
        parser.add_argument("audio", type=Path)
        parser.add_argument("--bars", metavar="A-B", help="only these printed bars, as 5-12")
        parser.add_argument(
            "--tempo", type=float, metavar="BPM", help="marked tempo, in place of the score's"
        )
        parser.add_argument("--no-repeats", action="store_true", help="the repeats are not asked for")
        parser.add_argument(
            "--form",
            metavar="BARS",
            help='the order of play as a line, as "1-8, 1-7, 9"; says it all by itself',
        )
        parser.add_argument(
            "--temperament", choices=("equal", "just", "pythagorean"), default="equal",
            help="the system notes are held against",
        )  # fmt: skip
        parser.add_argument(
            "--tonic", metavar="NOTE", help="keynote just intonation is built on, as C, F# or Bb; read from "
            "the key signature or the notes when not given",
        )  # fmt: skip
        parser.add_argument("--json", type=Path, metavar="FILE", help="write the whole analysis here")

    def handle(self, *args, score, audio, bars, tempo, no_repeats, form, json: Path | None, **options):
        document = measure(
            score, audio, bars=bars, tempo=tempo, with_repeats=not no_repeats, line=form,
            temperament=options["temperament"], tonic=options["tonic"],
        )  # fmt: skip
        from recordings.wording.summary import summary

        self.stdout.write(summary(document))
        if json:
            write(json, document)


def write(path: Path, document: dict) -> None:
    path.write_text(json.dumps(document, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


def measure(
    score: Path,
    audio: Path,
    *,
    bars: str | None,
    tempo: float | None,
    with_repeats: bool,
    line: str | None = None,
    temperament: str = "equal",
    tonic: str | None = None,
) -> dict:
    """The analysis document; what a person can mend is raised as `CommandError`."""
    from recordings.analysis.analyse import AnalysisSettings, analyse
    from recordings.analysis.recording.decode import NotAudio, decode
    from repertoire.notation.keynote import keynote
    from repertoire.notation.order import forms, order_line
    from repertoire.notation.read import reading
    from repertoire.notation.score import BadScore

    try:
        printed = reading.read_score(score.read_bytes(), filename=score.name).score
        order = order_line.parse_order(printed, line) if line else None
        form = forms.play(printed, with_repeats=with_repeats, bars=_bars(bars), order=order)
        marked, unit = _tempo(printed, tempo)
        settings = AnalysisSettings(
            marked_bpm=marked, beat_unit_q=unit, temperament=temperament,
            keynote=_keynote(tonic) if tonic else keynote(printed),
        )  # fmt: skip
        return analyse(decode(audio), form, settings).to_json()
    except BadScore as trouble:
        raise CommandError(words(trouble.sentence)) from trouble
    except NotAudio as trouble:
        raise CommandError(words(trouble.sentence)) from trouble
    except OSError as trouble:
        raise CommandError(f"{trouble.filename}: {trouble.strerror}") from trouble


def _bars(text: str | None) -> tuple[str, str] | None:
    if not text:
        return None
    first, dash, last = text.partition("-")
    if not first or (dash and not last):
        raise CommandError("Bars are given as 5-12, or as one bar: 5.")
    return first, last or first


def _keynote(name: str) -> int:
    from repertoire.notation.pitches import NAME, fifths_of

    found = NAME.fullmatch(name)
    if not found:
        raise CommandError("A keynote is given by its name: C, F# or Bb.")
    return fifths_of(found[1], {"#": 1, "b": -1, "": 0}[found[2]])


def _tempo(printed, asked: float | None) -> tuple[float, float]:
    """(marked tempo, its beat unit in quarters); 0 where the score marks none."""
    mark = printed.first_metronome_mark
    unit = mark.beat_unit_q if mark else printed.measures[0].beat_q
    return asked or (mark.bpm if mark else 0.0), unit
