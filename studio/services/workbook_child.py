"""The inside of the process that opens a workbook: XLSX on stdin, the first sheet's cells as JSON on stdout.

In a process of its own, since a workbook is a packed folder of XML that can be made to hurt. The answer is
`null` where it is no workbook.
"""

import io
import json
import sys
from datetime import date, datetime

from openpyxl import load_workbook

MOST_ROWS, MOST_COLUMNS = 2002, 40


def main(_arguments: list[str]) -> None:
    try:
        rows = first_sheet(sys.stdin.buffer.read())
    except MemoryError:
        raise
    except Exception:
        rows = None
    sys.stdout.write(json.dumps(rows))


def first_sheet(data: bytes) -> list[list[str]]:
    """The cells as text, at most one row more than is accepted, so that too many are noticed."""
    book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    cells = book.worksheets[0].iter_rows(values_only=True, max_row=MOST_ROWS, max_col=MOST_COLUMNS)
    return [[_text(cell) for cell in row] for row in cells]


def _text(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, date | datetime):
        return cell.isoformat()
    # A spreadsheet keeps every number as a float; a level "3" must not come in as "3.0".
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)
