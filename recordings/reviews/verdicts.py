"""What became of drafted remarks: how far the studio's teachers believe what was measured.

Only released answers count, since a draft is not decided yet. Nothing is told of a student or a teacher.
"""

from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, Q
from django.db.models.fields.json import KT
from django.utils.translation import gettext_lazy as _

from recordings.models import Remark, Review

TOPICS = (
    (
        _("What was played, and in which order"),
        (
            "stopped_early", "began_late", "left_out", "repeat_left_out", "repeat_added", "began_before",
            "played_on", "cut_not_made", "restart", "not_followed",
        ),
    ),
    (_("Wrong and missing notes"), ("wrong_note", "missing_note")),
    (
        _("Intonation"),
        (
            "intonation", "intonation_stretch", "intonation_habit", "intonation_wanders", "tuning_drift",
            "transposed",
        ),
    ),
    (
        _("Tempo"),
        (
            "tempo_slow", "tempo_fast", "rushing", "dragging", "tempo_stretch", "tempo_change", "opening",
            "hesitation",
        ),
    ),
    (_("Rhythm"), ("uneven_run", "dotted", "triplets")),
    (_("Dynamics and articulation"), ("hairpin", "levels", "accents", "staccato", "slurs")),
    (
        _("What is good"),
        (
            "strength_bars", "strength_complete", "strength_dynamics", "strength_intonation",
            "strength_steady", "strength_progress",
        ),
    ),
    (_("Anything else"), ()),
)  # fmt: skip
PLACE_OF = {kind: place for place, (_label, kinds) in enumerate(TOPICS) for kind in kinds}


@dataclass(frozen=True, slots=True)
class TopicVerdicts:
    """Drafted remarks of one topic. `reworded` are kept in other words, `open` not looked at."""

    topic: str
    kept: int
    reworded: int
    dropped: int
    wrong: int
    open: int

    @property
    def total(self) -> int:
        return self.kept + self.reworded + self.dropped + self.wrong + self.open

    @property
    def wrong_percent(self) -> int:
        return round(100 * self.wrong / self.total)


def verdicts_by_topic() -> list[TopicVerdicts]:
    """A line for every topic that was ever drafted, in the order of `TOPICS`."""
    counts: dict[int, Counter[str]] = {}
    for row in _by_kind():
        place = PLACE_OF.get(row.pop("kind"), len(TOPICS) - 1)
        counts.setdefault(place, Counter()).update(row)
    return [TopicVerdicts(str(TOPICS[place][0]), **counts[place]) for place in sorted(counts)]


def reasons() -> list[tuple[str, int]]:
    """Why remarks were called wrong, the most frequent first."""
    wrong = _decided().filter(verdict=Remark.Verdict.WRONG).values_list("wrong_reason")
    counted = wrong.annotate(n=Count("pk")).order_by("-n", "wrong_reason")
    return [(str(Remark.Wrong(reason).label), n) for reason, n in counted if reason]


def _decided():
    return Remark.objects.filter(finding__isnull=False, review__state=Review.State.RELEASED, review__again="")


def _by_kind():
    kept, own = Q(verdict=Remark.Verdict.KEPT), Q(own_text__isnull=False)
    return (
        _decided()
        .annotate(kind=KT("finding__kind"))
        .values("kind")
        .annotate(
            kept=Count("pk", filter=kept & ~own),
            reworded=Count("pk", filter=kept & own),
            dropped=Count("pk", filter=Q(verdict=Remark.Verdict.DROPPED)),
            wrong=Count("pk", filter=Q(verdict=Remark.Verdict.WRONG)),
            open=Count("pk", filter=Q(verdict=Remark.Verdict.PROPOSED)),
        )
        .order_by("kind")
    )
