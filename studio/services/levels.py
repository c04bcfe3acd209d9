"""Levels are the studio's own words; they tie a requirement to its entries, so one spelling counts."""

from studio.models import Requirement, Student


def known_levels() -> list[str]:
    """The levels in use, each once, in alphabetical order."""
    students = Student.objects.order_by().values_list("level", flat=True)
    requirements = Requirement.objects.order_by().values_list("level", flat=True)
    return sorted(students.union(requirements))


def settle_level(text: str) -> str:
    """The spelling already in use for this level, whatever the case typed; else the text itself."""
    typed = " ".join(text.split())
    return next((level for level in known_levels() if level.casefold() == typed.casefold()), typed)
