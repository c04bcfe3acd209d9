"""How long takes are kept: as each season says, counted from its last day."""

from datetime import date, timedelta

from recordings.models import Take
from studio.models import Season


def expired_takes(day: date):
    """Takes of seasons that ended longer ago than they are to be kept."""
    ended = Season.objects.filter(ends_on__lt=day).only("ends_on", "keep_takes_days")
    over = [season.pk for season in ended if season.ends_on + timedelta(days=season.keep_takes_days) < day]
    return Take.objects.filter(entry__audition__season__in=over)


def delete_expired(day: date) -> int:
    """Delete them with their sounds, analyses and reviews; how many there were."""
    count = 0
    for take in expired_takes(day).iterator(chunk_size=100):
        take.delete()
        count += 1
    return count
