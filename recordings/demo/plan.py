"""The demo season as written in fixtures/season.json, and its days told from the day of loading."""

import json
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone

FIXTURES = Path(settings.BASE_DIR) / "fixtures"


def read_plan() -> dict:
    return json.loads((FIXTURES / "season.json").read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class Calendar:
    """Turns "days from the loading" into dates and times of the studio's own clock."""

    now: datetime
    zone: ZoneInfo

    @classmethod
    def from_now(cls) -> "Calendar":
        return cls(timezone.now(), ZoneInfo(settings.STUDIO_TIME_ZONE))

    def day(self, offset: int) -> date:
        return self.now.astimezone(self.zone).date() + timedelta(days=offset)

    def at(self, offset: int, hour: int = 18, minute: int = 0) -> datetime:
        return datetime.combine(self.day(offset), time(hour, minute), self.zone)
