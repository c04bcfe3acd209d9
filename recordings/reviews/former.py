"""The take before this one, to be heard beside it at the same bars."""

from dataclasses import dataclass

from recordings.models import Analysis, Take


@dataclass(frozen=True, slots=True)
class Former:
    """`bars` as the player reads them: those that count, with their times in that take."""

    take: Take
    bars: list[dict]


def former_of(take: Take) -> Former | None:
    """The last earlier take of the same entry and requirement in which bars were heard, if any."""
    earlier = Analysis.objects.filter(
        take__entry=take.entry_id,
        take__requirement=take.requirement_id,
        take__uploaded_at__lt=take.uploaded_at,
        state=Analysis.State.DONE,
        unusable="",
    )
    found = earlier.select_related("take").order_by("-take__uploaded_at", "-take__pk").first()
    played = (found.result or {}).get("bars", []) if found else []
    bars = [
        {
            "measure": bar["measure_id"],
            "bar": bar["bar"],
            "pass": bar["pass"],
            "start_s": bar["start_s"],
            "end_s": bar["end_s"],
        }
        for bar in played
        if not bar.get("attempt_left")
    ]
    return Former(found.take, bars) if found and bars else None
