"""What the program is built of, as an inventory in the open form CycloneDX 1.6 (ECMA-424)."""

import re
import uuid
from importlib import metadata
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

PINNED = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^\]]*\])?==(\S+)$")
# What lies in the program's own folders and was not written here.
SHIPPED = (
    ("source-sans-3", "OFL-1.1", "studio/static/studio/fonts"),
    ("source-serif-4", "OFL-1.1", "studio/static/studio/fonts"),
)


def inventory() -> dict[str, Any]:
    """One component a pinned requirement, with the licence its own metadata names."""
    components = [_library(name, version) for name, version in pinned()]
    components += [
        {"type": "data", "name": name, "licenses": [{"license": {"id": licence}}], "description": place}
        for name, licence, place in SHIPPED
    ]
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "serialNumber": f"urn:uuid:{uuid.uuid4()}",
        "version": 1,
        "metadata": {
            "timestamp": timezone.now().isoformat(timespec="seconds"),
            "component": {
                "type": "application",
                "name": "fairhearing",
                "licenses": [{"license": {"id": "Apache-2.0"}}],
            },
        },
        "components": components,
    }


def pinned(path: Path | None = None) -> list[tuple[str, str]]:
    """Names and versions of the requirements, as they are pinned."""
    lines = (path or Path(settings.BASE_DIR) / "requirements.txt").read_text(encoding="utf-8").splitlines()
    return [(found[1], found[2]) for line in lines if (found := PINNED.match(line.strip()))]


def licence_of(name: str) -> str:
    """As its metadata says it; empty where it is not installed or says nothing."""
    try:
        told = metadata.metadata(name)
    except metadata.PackageNotFoundError:
        return ""
    if "License-Expression" in told:
        return told["License-Expression"]
    classified = [each for each in told.get_all("Classifier") or [] if each.startswith("License ::")]
    if classified:
        return " AND ".join(each.rpartition(" :: ")[2] for each in classified)
    lines = told["License"].splitlines() if "License" in told else []
    return lines[0].strip() if lines else ""


def _library(name: str, version: str) -> dict[str, Any]:
    purl = f"pkg:pypi/{re.sub(r'[-_.]+', '-', name).lower()}@{version}"
    found = {"type": "library", "name": name, "version": version, "purl": purl, "bom-ref": purl}
    licence = licence_of(name)
    return {**found, "licenses": [{"license": {"name": licence}}]} if licence else found
