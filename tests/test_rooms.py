"""The arrows between the rooms, as the contracts in pyproject.toml state them."""

import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def lint_imports(config: Path, folder: Path) -> tuple[int, str]:
    """Exit code and words, from a process of its own: the tool quiets every logger of the one it runs in."""
    command = "import sys; from importlinter.cli import lint_imports; "
    command += f"sys.exit(lint_imports(config_filename={str(config)!r}, no_cache=True))"
    done = subprocess.run([sys.executable, "-c", command], cwd=folder, capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def test_rooms_keep_their_arrows():
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    code, words = lint_imports(ROOT / "pyproject.toml", ROOT)
    assert code == 0, words
    assert f"{len(contracts)} kept, 0 broken" in words


def test_pages_are_served_without_what_measures():
    """numpy, scipy and the rest cost a second and much memory at every start of a process."""
    command = (
        "import os, sys; os.environ['DJANGO_SETTINGS_MODULE'] = 'studio.setup.settings'\n"
        "import django; django.setup()\n"
        "import studio.urls\n"
        "print({'numpy', 'scipy', 'numba', 'librosa', 'av'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", command], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stdout == "set()\n"


def test_a_forbidden_arrow_is_seen(tmp_path):
    """The contracts would not pass by themselves: the same tool on a wrong arrow says so."""
    (tmp_path / "high").mkdir()
    (tmp_path / "low").mkdir()
    (tmp_path / "high" / "__init__.py").write_text("")
    (tmp_path / "low" / "__init__.py").write_text("import high\n")
    config = tmp_path / "arrows.ini"
    config.write_text(
        "[importlinter]\nroot_packages =\n  high\n  low\n"
        "[importlinter:contract:1]\nname = arrows\ntype = layers\nlayers =\n  high\n  low\n"
    )
    code, words = lint_imports(config, tmp_path)
    assert code != 0
    assert "low is not allowed to import high" in words


LONGEST_LINES = 300


def test_no_module_is_longer_than_a_person_reads_in_one_go():
    rooms = ("studio", "recordings", "repertoire", "tests", "fixtures")
    sources = [
        path for room in rooms for path in (ROOT / room).rglob("*.py") if "migrations" not in path.parts
    ]
    lengths = {path.relative_to(ROOT): len(path.read_text(encoding="utf-8").splitlines()) for path in sources}
    assert len(lengths) > 300
    assert not {path: length for path, length in lengths.items() if length > LONGEST_LINES}
