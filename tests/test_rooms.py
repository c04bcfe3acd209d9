"""The arrows between the rooms, as the contracts in pyproject.toml state them."""

import tomllib
from pathlib import Path

from importlinter.cli import EXIT_STATUS_SUCCESS, lint_imports

ROOT = Path(__file__).resolve().parent.parent


def test_rooms_keep_their_arrows(capsys, monkeypatch):
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    monkeypatch.chdir(ROOT)
    status = lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True)
    said = capsys.readouterr().out
    assert status == EXIT_STATUS_SUCCESS, said
    assert f"{len(contracts)} kept, 0 broken" in said


def test_a_forbidden_arrow_is_seen(capsys, monkeypatch, tmp_path):
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
    monkeypatch.syspath_prepend(str(tmp_path))
    assert lint_imports(config_filename=str(config), no_cache=True) != EXIT_STATUS_SUCCESS
    assert "low is not allowed to import high" in capsys.readouterr().out
