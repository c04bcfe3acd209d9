"""Axe on an open page: every rule, whatever weight it gives a finding, by day and in the dark."""

from axe_playwright_python.base import AXE_FILE_PATH

AXE = AXE_FILE_PATH.read_text(encoding="utf-8")
# On by itself: WCAG 2.2's size of what is tapped, which axe leaves out unless asked.
ALL = {"rules": {"target-size": {"enabled": True}}, "resultTypes": ["violations"]}
# All that changes with the light.
COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"], "resultTypes": ["violations"]}


def faults(page) -> list[str]:
    """What axe finds, each with the first place seen; what is folded away is opened for it."""
    page.evaluate(AXE)
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    found = _found(page, ALL, "")
    page.emulate_media(color_scheme="dark")
    found += _found(page, COLOURS, "dark, ")
    page.emulate_media(color_scheme="light")
    return found


def _found(page, options: dict, light: str) -> list[str]:
    violations = page.evaluate("(options) => axe.run(document, options)", options)["violations"]
    return [
        f"{light}{fault['id']}: {fault['nodes'][0]['target']} {fault['nodes'][0]['html'][:120]}"
        for fault in violations
    ]
