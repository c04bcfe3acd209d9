"""The list that lies in a bundle beside its files: what each is, in plain lines, without a name."""

from typing import TYPE_CHECKING

from django.utils.translation import gettext as _

from recordings.sending.limits import clock
from repertoire.wording.instruments import instrument_name
from studio.models import Entry

if TYPE_CHECKING:
    from recordings.sending.bundle import MadeFile


def list_text(entry: Entry, files: "list[MadeFile]") -> str:
    head = _("%(audition)s, entry %(number)d: %(instrument)s, %(level)s") % {
        "audition": entry.audition.name,
        "number": entry.pk,
        "instrument": instrument_name(entry.instrument),
        "level": entry.level,
    }
    lines = [head, ""]
    for file in files:
        length = clock(file.duration_s) if file.duration_s else "?"
        lines += [f"{file.name}", f"  {file.music}, {length}, {file.size} B", f"  SHA-256 {file.sha256}", ""]
    return "\n".join(lines)
