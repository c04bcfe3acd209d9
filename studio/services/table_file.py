"""A table somebody made in a spreadsheet: CSV or XLSX in, lines of text out, and CSV back."""

import csv
import io
import json
from dataclasses import dataclass

from django.utils.translation import gettext as _

from repertoire.notation.bounded import Ending, ProcessLimits, run

MOST_BYTES = 2 * 1024 * 1024
MOST_LINES = 2000
LIMITS = ProcessLimits(time_s=15.0, memory_mb=500)
# What spreadsheets read as the beginning of a formula: owasp.org, "CSV Injection".
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


class BadTable(Exception):
    """The file cannot be read as a table; its text is a sentence for the person."""


@dataclass(frozen=True)
class Line:
    """One line of the table below its heading, with the number the spreadsheet shows beside it."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    headings: tuple[str, ...]
    lines: tuple[Line, ...]


def read_table(data: bytes) -> Table:
    """Raises `BadTable`. What the file is is told by its content, never by its name."""
    if len(data) > MOST_BYTES:
        raise BadTable(_("The file is larger than 2 MB. Please send the table alone, without pictures."))
    rows = _workbook(data) if data.startswith(b"PK") else _csv(_decoded(data))
    return _table(rows)


def table_of_text(text: str) -> Table:
    """The table from the text `as_csv` made of it."""
    return _table(_csv(text))


def as_csv(rows: list[list[str]]) -> str:
    """Cells that a spreadsheet would run as a formula get an apostrophe, which reading takes off again."""
    out = io.StringIO()
    csv.writer(out).writerows([[_defused(cell) for cell in row] for row in rows])
    return out.getvalue()


def text_of(table: Table) -> str:
    """The whole table as CSV; lines left empty stay, so that every line keeps its number."""
    by_number = {line.number: list(line.cells) for line in table.lines}
    last = max(by_number, default=1)
    return as_csv([list(table.headings), *(by_number.get(number, [""]) for number in range(2, last + 1))])


def _defused(cell: str) -> str:
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell


def _plain(cell: str) -> str:
    bare = cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA_STARTS) else cell
    return " ".join(bare.replace("\x00", "").split())


def _table(rows: list[list[str]]) -> Table:
    plain = [tuple(_plain(cell) for cell in row) for row in rows]
    if not plain or not any(plain[0]):
        raise BadTable(_("The first line must hold the columns' headings, and it is empty."))
    lines = [Line(number, cells) for number, cells in enumerate(plain[1:], start=2) if any(cells)]
    if not lines:
        raise BadTable(_("There is no line below the headings."))
    if len(rows) > MOST_LINES + 1:
        raise BadTable(_("More than 2000 lines at once. Please send the table in parts."))
    if sum(len(cell.encode()) for row in plain for cell in row) > MOST_BYTES:
        raise BadTable(_("The table holds more than 2 MB of text. Please send it in parts."))
    return Table(plain[0], tuple(lines))


def _decoded(data: bytes) -> str:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError:
        # What spreadsheets on Windows write where UTF-8 was not asked for.
        return data.decode("cp1252", errors="replace")


def _csv(text: str) -> list[list[str]]:
    heading = text.partition("\n")[0]
    delimiter = max(",;\t", key=heading.count)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise BadTable(_("This is neither a CSV file nor an XLSX workbook.")) from error


def _workbook(data: bytes) -> list[list[str]]:
    ended = run("studio.services.workbook_child", data=data, limits=LIMITS)
    rows = json.loads(ended.output) if ended.how is Ending.FINISHED else None
    if rows is None:
        raise BadTable(_("The workbook could not be opened. Please save it again as XLSX or CSV."))
    return rows
