from pathlib import Path

from django.core.management.commands import makemessages

PERCENT_PLACES = ("%(", "%s", "%d")


class Command(makemessages.Command):
    """Django's own, which also finds the texts of `repertoire.wording.templates`.

    Their places know formats of ours (`{name:small}`), and their "80 % of" is no place: such entries are not
    held to Python's formats.
    """

    xgettext_options = [
        *makemessages.Command.xgettext_options,
        "--keyword=Plural:1,2",
        "--keyword=Meaning:1c,2",
    ]

    def write_po_file(self, potfile: str, locale: str) -> None:
        found = Path(potfile)
        entries = found.read_text(encoding="utf-8").split("\n\n")
        found.write_text("\n\n".join(_plain_flags(entry) for entry in entries), encoding="utf-8")
        super().write_po_file(potfile, locale)


def _plain_flags(entry: str) -> str:
    entry = entry.replace(", python-brace-format", "")
    if not any(place in entry for place in PERCENT_PLACES):
        entry = entry.replace(", python-format", "")
    return "\n".join(line for line in entry.split("\n") if line != "#")
