"""The colours, type and stylesheets of the pages: legible by day and by lamp, and small enough."""

import re
from itertools import product
from pathlib import Path

import pytest

from tests.running import ROOT

STUDIO = ROOT / "studio" / "static" / "studio"
TOKENS = (STUDIO / "tokens.css").read_text(encoding="utf-8")
SHEETS = sorted(
    path
    for room in ("studio", "repertoire", "recordings")
    for path in (ROOT / room / "static").rglob("*.css")
)
# WCAG 2.2: 1.4.3 (text, AA) and 1.4.11 (what tells a control or carries a meaning).
TEXT, SHAPE = 4.5, 3.0

GROUNDS = ("paper", "sheet", "field", "band")
WRITING = ("ink", "quiet", "accent", "good", "warn", "bad")
PAIRS = {
    **dict.fromkeys(product(WRITING, GROUNDS), TEXT),
    ("accent-ink", "accent"): TEXT,
    **dict.fromkeys(product(("music-ink", "quiet", "accent"), ("music", "now")), TEXT),
    ("music-ink", "allowed"): TEXT,
    **dict.fromkeys(product(("rule",), ("paper", "sheet", "field", "music")), SHAPE),
}
# Lines between rows part nothing that a gap does not part too; the veil dims what lies under a dialog; white
# is for codes and paper.
NOT_READ = {"line", "veil", "blank"}


def colours(rules: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6}|rgb\([^)]*\));", rules))


def lights() -> dict[str, dict[str, str]]:
    day, _, evening = TOKENS.partition("@media screen and (prefers-color-scheme: dark)")
    return {"light": colours(day), "dark": {**colours(day), **colours(evening)}}


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, as WCAG 2.2 defines it."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_contrast_is_that_of_the_standard():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("light", ["light", "dark"])
def test_every_pair_of_colours_used_together_is_legible(light):
    seen = lights()[light]
    measured = {(one, other): contrast(seen[one], seen[other]) for one, other in PAIRS}
    assert not {pair: round(ratio, 2) for pair, ratio in measured.items() if ratio < PAIRS[pair]}


def test_every_colour_stands_in_a_pair():
    paired = {name for pair in PAIRS for name in pair}
    assert set(lights()["light"]) - NOT_READ == paired


def test_the_evening_has_a_colour_for_each_of_the_day_but_paper_white():
    day, _, evening = TOKENS.partition("@media screen and (prefers-color-scheme: dark)")
    assert set(colours(day)) - {"blank"} == set(colours(evening))


def rules(sheet: Path) -> list[dict[str, str]]:
    """What each rule of a stylesheet sets, property by property."""
    text = re.sub(r"/\*.*?\*/", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)
    bodies = re.findall(r"\{([^{}]*)\}", text)
    return [dict(re.findall(r"([a-z-]+):\s*([^;]+);", body)) for body in bodies]


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_colours_a_rule_sets_together_are_a_measured_pair(sheet):
    named = [
        tuple(re.match(r"var\(--([a-z-]+)\)", rule.get(what, "")) for what in ("color", "background"))
        for rule in rules(sheet)
    ]
    pairs = {(ink[1], ground[1]) for ink, ground in named if ink and ground}
    assert pairs <= set(PAIRS)


@pytest.mark.parametrize("sheet", [s for s in SHEETS if s.name != "tokens.css"], ids=lambda sheet: sheet.name)
def test_stylesheets_name_colours_by_token(sheet):
    said = re.sub(r"/\*.*?\*/", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)
    assert not re.findall(r"(?<![\w-])(#[0-9a-fA-F]{3,8}\b|rgba?\([^)]*\)|\b(?:white|black)\b(?!-))", said)


def test_tokens_named_are_tokens_there():
    there = set(re.findall(r"(--[a-z0-9-]+):", TOKENS))
    named = {
        name for sheet in SHEETS for name in re.findall(r"var\((--[a-z0-9-]+)", sheet.read_text("utf-8"))
    }
    assert named <= there


def test_the_type_is_small_and_comes_with_its_licence():
    files = sorted((STUDIO / "fonts").glob("*.woff2"))
    named = set(re.findall(r'url\("fonts/([^"]+)"\)', TOKENS))
    assert {file.name for file in files} == named
    assert all(file.read_bytes()[:4] == b"wOF2" for file in files)
    assert sum(file.stat().st_size for file in files) < 120_000
    licence = (STUDIO / "fonts" / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert all(file.name in licence for file in files)


def test_text_is_shown_before_its_type_has_come():
    assert TOKENS.count("@font-face") == TOKENS.count("font-display: swap")


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["en", "de"])
def test_a_page_says_in_which_language_it_is(client, settings, language):
    settings.LANGUAGES = [("en", "English"), ("de", "Deutsch")]
    page = client.get("/accounts/login/", headers={"accept-language": language})
    assert f'<html lang="{language}">' in page.content.decode()
