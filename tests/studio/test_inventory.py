"""The inventory of what the program is built of: whole, with licences this project can live with."""

import io
import json
import re
from pathlib import Path

from django.core.management import call_command

from studio.services.inventory import pinned

REQUIREMENTS = Path(__file__).resolve().parents[2] / "requirements.txt"
# A library under it would put the whole program under it.
STRONG_COPYLEFT = re.compile(
    r"(?<!L)(?<!Lesser )\bA?GPL|(?<!Lesser )General Public License(?! v\d or later \(LGPL)"
)


def printed() -> dict:
    said = io.StringIO()
    call_command("sbom", stdout=said)
    return json.loads(said.getvalue())


def test_every_requirement_is_in_it_with_its_version_and_licence():
    told = printed()
    assert (told["bomFormat"], told["specVersion"]) == ("CycloneDX", "1.6")
    lines = [line for line in REQUIREMENTS.read_text().splitlines() if line and not line.startswith("#")]
    libraries = [each for each in told["components"] if each["type"] == "library"]
    assert len(libraries) == len(lines) == len(pinned())
    assert len({each["bom-ref"] for each in libraries}) == len(libraries)
    assert not [each["name"] for each in libraries if not each.get("licenses")]


def test_none_of_them_puts_the_program_under_the_gpl():
    licences = {each["name"]: json.dumps(each["licenses"]) for each in printed()["components"]}
    assert STRONG_COPYLEFT.search('"GPL-3.0-only"')
    assert STRONG_COPYLEFT.search("GNU General Public License v3 (GPLv3)")
    assert not STRONG_COPYLEFT.search("LGPL-3.0-only")
    assert not {name: said for name, said in licences.items() if STRONG_COPYLEFT.search(said)}
