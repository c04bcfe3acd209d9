"""`manage.py accuracy`: the real analysis of every demo take, held to what the take is known to hold."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from recordings.demo.accuracy import Outcome
from recordings.demo.table import drawn_sentence, table

DRAWN = 48  # takes by lot: each flaw once on each instrument
BEGIN, END = "<!-- accuracy -->", "<!-- /accuracy -->"


class Command(BaseCommand):
    help = "Measure the demo takes against their known flaws and print the table as Markdown."

    def add_arguments(self, parser) -> None:
        parser.add_argument("takes", nargs="*", help="names of demo takes; without any, all of them")
        parser.add_argument(
            "--write", type=Path, metavar="FILE", help=f"put the table between {BEGIN} and {END}"
        )

    def handle(self, *args, takes: list[str], write: Path | None, verbosity: int, **options) -> None:
        if write and takes:
            raise CommandError("The written table holds every take: leave out the names.")
        text = table(self._measure(takes, tell=verbosity > 0))
        if not takes:
            text += f"\n\n{drawn_sentence(self._measure_drawn(tell=verbosity > 0))}"
        self.stdout.write(text)
        if write:
            write.write_text(between_markers(write.read_text(encoding="utf-8"), text), encoding="utf-8")

    def _measure(self, names: list[str], *, tell: bool) -> list[Outcome]:
        from recordings.demo.measured import measure_demo, wanted

        try:
            chosen = wanted(names)
        except LookupError as unknown:
            raise CommandError(str(unknown)) from unknown
        outcomes = []
        for take in chosen:
            outcomes.append(measure_demo(take))
            if tell:
                self.stderr.write(f"measured {take.name}")
        return outcomes

    def _measure_drawn(self, *, tell: bool) -> list[Outcome]:
        from recordings.demo.measured import measure_drawn

        outcomes = []
        for number in range(DRAWN):
            outcomes.append(measure_drawn(number))
            if tell:
                self.stderr.write(f"measured {outcomes[-1].take}")
        return outcomes


def between_markers(page: str, text: str) -> str:
    """`page` with everything between the markers replaced by `text`."""
    if BEGIN not in page or END not in page:
        raise CommandError(f"The file has no place for the table: it needs {BEGIN} and {END}.")
    before, _, rest = page.partition(BEGIN)
    return f"{before}{BEGIN}\n{text}\n{END}{rest.partition(END)[2]}"
