"""Which music a take was measured against: the excerpt's, or what it was before a correction."""

from datetime import datetime

from recordings.jobs import queue
from recordings.models import Analysis, Take
from repertoire.library.correction import with_music
from repertoire.models import EarlierScore, Excerpt


def earlier_music(analysis: Analysis, excerpt: Excerpt) -> EarlierScore | None:
    """The replaced score this analysis belongs to; None where it was measured against the present one."""
    if analysis.finished_at is None or analysis.score_hash == excerpt.content_hash:
        return None
    earlier = excerpt.earlier_scores.all()
    if analysis.score_hash:
        return earlier.filter(content_hash=analysis.score_hash).last()
    return earlier.filter(replaced_at__gt=analysis.finished_at).first()


def shown_as_measured(take: Take) -> datetime | None:
    """Give the take's excerpt the music it was measured against; when that was replaced, or None.

    Bars and notes of an analysis are found by their ids, which a corrected score may give to others.
    """
    excerpt = take.requirement.excerpt
    earlier = earlier_music(take.analysis, excerpt)
    if earlier is None:
        return None
    take.requirement.excerpt = with_music(excerpt, earlier)
    return earlier.replaced_at


def outdated(excerpt: Excerpt) -> list[Analysis]:
    """Ended analyses of the excerpt's takes that were measured against earlier music."""
    if not excerpt.earlier_scores.exists():
        return []
    done = Analysis.objects.filter(
        take__requirement__excerpt=excerpt, state=Analysis.State.DONE, finished_at__isnull=False
    )
    return [analysis for analysis in done.defer("result") if earlier_music(analysis, excerpt) is not None]


def outdated_count(excerpt: Excerpt) -> int:
    return len(outdated(excerpt))


def measure_outdated_again(excerpt: Excerpt) -> int:
    """Put them back in the queue; how many there were."""
    return sum(queue.measure_again(analysis) for analysis in outdated(excerpt))
