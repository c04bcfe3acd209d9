"""What the two documents promise is there: variables, pictures, files."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
READ = re.compile(r"env\.[a-z]+\(\s*\"([A-Z_0-9]+)\"")


def variables() -> set[str]:
    """Every environment variable the program reads."""
    sources = (ROOT / "studio").rglob("*.py")
    return {name for source in sources for name in READ.findall(source.read_text(encoding="utf-8"))}


def test_the_search_finds_variables():
    assert {"SECRET_KEY", "DATABASE_URL", "PORT", "LOG_LEVEL"} <= variables()


@pytest.mark.parametrize("page", [README, DEVELOPERS], ids=["README.md", "DEVELOPERS.md"])
def test_every_variable_is_explained(page):
    assert not {name for name in variables() if f"`{name}`" not in page}


def test_pictures_are_there():
    pictures = re.findall(r"\]\((fixtures/[^)]+)\)", README)
    assert pictures
    assert not [picture for picture in pictures if not (ROOT / picture).is_file()]


def test_the_accuracy_table_is_filled():
    table = README.partition("<!-- accuracy -->")[2].partition("<!-- /accuracy -->")[0]
    assert table.count("|") > 20


@pytest.mark.parametrize("page", [README, DEVELOPERS], ids=["README.md", "DEVELOPERS.md"])
def test_files_it_names_exist(page):
    named = re.findall(r"`((?:studio|repertoire|recordings|tests|fixtures)/[\w/.]+)`", page)
    assert not {name for name in named if not (ROOT / name).exists()}


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd-analyze is not installed")
def test_the_example_of_a_unit_is_one_systemd_understands(tmp_path):
    text = re.search(r"```ini\n(.*?)```", README, re.DOTALL)[1]
    unit = tmp_path / "fairhearing-web.service"
    # Nothing but the place of the program is changed.
    unit.write_text(text.replace("/opt/fairhearing/.venv/bin/gunicorn", "/bin/true"), encoding="utf-8")
    said = subprocess.run(["systemd-analyze", "verify", str(unit)], capture_output=True, text=True)
    about_it = [line for line in said.stderr.splitlines() if unit.name in line]
    assert (said.returncode, about_it) == (0, [])
    assert "gunicorn studio.setup.wsgi:application" in text


def test_top_level_is_as_agreed():
    shown = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    agreed = {
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "Makefile",
        "manage.py",
        "pyproject.toml",
        "requirements.txt",
        "studio",
        "recordings",
        "repertoire",
        "tests",
        "fixtures",
    }
    assert shown - {"__pycache__"} == agreed


def test_no_path_of_one_machine_is_named():
    rooms = ("studio", "recordings", "repertoire", "tests", "fixtures")
    sources = [path for room in rooms for path in (ROOT / room).rglob("*.py")]
    pages = [ROOT / name for name in ("README.md", "DEVELOPERS.md", "Makefile", ".ci/run")]
    named = "/" + "work/"
    assert not [path for path in (*sources, *pages) if named in path.read_text(encoding="utf-8")]
