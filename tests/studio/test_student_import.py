"""A table of students: looked at first, imported whole, and run again without doubling anybody."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook

from studio.models import Student
from studio.services.table_file import MOST_LINES

PAGE = "/students/import/"
HEADINGS = ["Name", "Instrument", "Level", "Teacher", "email", "guardian_email", "is_minor"]
LENE = ["Lene Moorbach", "Flute", "junior", "{teacher}", "lene@example.org", "moorbach@example.org", ""]
ODO = ["Odo Farnwald", "Violin", "Junior", "{teacher}", "", "", "no"]


@pytest.fixture
def browser(director, as_user):
    return as_user(director)


@pytest.fixture
def lines(teacher):
    def made(*rows):
        return [HEADINGS, *([cell.replace("{teacher}", teacher.email) for cell in row] for row in rows)]

    return made


def as_text(rows, delimiter=",") -> bytes:
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows(rows)
    return out.getvalue().encode()


def as_workbook(rows) -> bytes:
    book, out = Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def look(browser, data: bytes):
    return browser.post(PAGE, {"file": SimpleUploadedFile("table", data)})


def run(browser, data: bytes, **more):
    """Look at the table, then send what the page holds, as its button does."""
    seen = look(browser, data)
    chosen = {name: seen.context["columns"][name].value() or "" for name in seen.context["columns"].fields}
    return browser.post(PAGE, {"table": seen.context["text"], **chosen, "import": "1", **more})


@pytest.mark.parametrize("made", [as_text, lambda rows: as_text(rows, ";"), as_workbook])
def test_looking_writes_nothing_and_importing_adds_everybody(browser, lines, teacher, made):
    data = made(lines(LENE, ODO))
    seen = look(browser, data)
    assert (seen.context["new"], seen.context["unsettled"]) == (2, 0)
    assert not Student.objects.exists()
    assert run(browser, data).status_code == 302
    lene, odo = Student.objects.order_by("name")
    assert (lene.instrument, lene.level, lene.teacher, lene.is_minor) == ("flute", "junior", teacher, True)
    assert (odo.instrument, odo.level, odo.is_minor) == ("violin", "junior", False)


def test_run_again_it_updates_and_never_doubles(browser, lines):
    run(browser, as_text(lines(LENE, ODO)))
    ids = set(Student.objects.values_list("pk", flat=True))
    assert look(browser, as_text(lines(LENE, ODO))).context["same"] == 2
    senior = [*LENE[:2], "senior", *LENE[3:]]
    assert run(browser, as_text(lines(senior, ODO))).status_code == 302
    assert set(Student.objects.values_list("pk", flat=True)) == ids
    assert Student.objects.get(name="Lene Moorbach").level == "senior"


def test_an_empty_cell_changes_nothing(browser, lines):
    run(browser, as_text(lines(LENE)))
    run(browser, as_text(lines([*LENE[:2], "", "", LENE[4], "", ""])))
    student = Student.objects.get()
    assert (student.level, student.guardian_email) == ("junior", "moorbach@example.org")


@pytest.mark.parametrize(
    ("place", "cell", "told"),
    [
        (0, "", "required"),
        (1, "moon harp", "no instrument known"),
        (1, "", "instrument is missing"),
        (3, "Nobody Known", "Invite them under People"),
        (4, "not an address", "valid email"),
        (5, "", "guardian"),
        (6, "perhaps", "yes or no"),
    ],
)
def test_one_bad_line_is_told_at_its_number_and_nothing_is_written(browser, lines, place, cell, told):
    bad = [*LENE[:place], cell, *LENE[place + 1 :]]
    page = run(browser, as_text(lines(ODO, bad)))
    (step,) = [step for step in page.context["steps"] if step.problems]
    assert step.line.number == 3
    assert told in " ".join(step.problems)
    assert not Student.objects.exists()


def test_the_good_lines_alone_only_when_asked(browser, lines):
    data = as_text(lines(ODO, [*LENE[:1], "moon harp", *LENE[2:]]))
    assert run(browser, data, leave_out="on").status_code == 302
    assert [student.name for student in Student.objects.all()] == ["Odo Farnwald"]


def test_the_same_student_twice_in_a_table_is_told(browser, lines):
    page = run(browser, as_text(lines(LENE, LENE)))
    assert "line 2 once more" in page.text
    assert not Student.objects.exists()


def test_somebody_alike_is_asked_about(browser, lines):
    run(browser, as_text(lines(LENE)))
    known = Student.objects.get()
    moved = as_text(lines([*LENE[:4], "new@example.org", "other@example.org", ""]))
    page = run(browser, moved)
    assert "Who is it?" in page.text
    assert Student.objects.count() == 1
    run(browser, moved, line_2=str(known.pk))
    known.refresh_from_db()
    assert known.email == "new@example.org"
    run(browser, as_text(lines(LENE)), line_2="other")
    assert Student.objects.count() == 2


def test_columns_are_matched_by_hand(browser, lines):
    rows = lines(ODO)
    rows[0] = ["Who", *rows[0][1:]]
    seen = look(browser, as_text(rows))
    assert "name" in seen.context["columns"].errors
    places = {name: str(at) for at, name in enumerate(["name", "instrument", "level", "teacher"])}
    table = {"table": seen.context["text"], **places, "is_minor": "6", "import": "1"}
    assert "chosen already" in browser.post(PAGE, {**table, "level": "0"}).text
    assert browser.post(PAGE, table).status_code == 302
    assert Student.objects.get().name == "Odo Farnwald"


def test_what_comes_out_goes_in_again_with_formulas_defused(browser, lines):
    name = '=HYPERLINK("x")'
    run(browser, as_text(lines(LENE, [name, *ODO[1:]])))
    out = browser.get("/students/export.csv").content
    rows = list(csv.reader(io.StringIO(out.decode("utf-8-sig"))))
    assert f"'{name}" in [row[0] for row in rows]
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@"))]
    assert look(browser, out).context["same"] == 2


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "empty"),
        (b"name,level\n", "no line below"),
        (b"PK\x03\x04 no workbook", "could not be opened"),
        (b"name\n" + b"a\n" * (MOST_LINES + 1), "2000 lines"),
    ],
)
def test_what_is_no_table_is_told(browser, data, told):
    page = look(browser, data)
    assert told in page.context["upload"].errors["file"][0]


def test_lines_left_empty_keep_the_numbers(browser, lines):
    rows = lines(ODO, [""] * 7, [*LENE[:1], "moon harp", *LENE[2:]])
    page = run(browser, as_text(rows))
    assert [step.line.number for step in page.context["steps"] if step.problems] == [4]
