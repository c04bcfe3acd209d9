"""What to practise in the coming days: the kept remarks of a released answer, each with a musician's way.

The ways are common practice, no published source. The teacher decides by what is kept, and in which words;
a remark the teacher wrote without the measuring brings its own way.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from recordings.models import Remark
from recordings.reviews.answer import Card

MOST_ITEMS = 5  # more than five things at once nobody practises
MINUTES = 5  # a day for each: short and often

ORDER = _(
    "Look at the order of bars once more. Then play only the turn: from two bars before it to two bars after."
)
NOTES = _(
    "Say the names of the notes aloud. Play the bars so slowly that no note goes astray, three times in a "
    "row. Only then go up the tempo ladder."
)
PITCH = _(
    "Play the bars slowly over a drone on the keynote. Stay on each note that is named until it rings; then "
    "play them in one line, and once more without the drone."
)
HABIT = _(
    "Each day play one slow scale over a drone, and listen to this one thing. Then play a few bars of the "
    "piece with the same ear."
)
PULSE = _(
    "Sing the bars while you tap the beat. Then play them with the click on every beat, and last with the "
    "click on the first beat of each bar only."
)
LADDER = _(
    "Begin the tempo ladder where the bars are easy. One step up after three calm times; a step back as soon "
    "as something slips."
)
FLOW = _(
    "Begin two bars before the place and play over it, so slowly that nothing stops. Then begin at another "
    "bar each time."
)
EVEN = _(
    "Play the run long-short, then short-long, then in groups of four with a stop on the first note of each. "
    "Then evenly, slowly."
)
RHYTHM = _(
    "Count the shortest value aloud and clap the rhythm. Then play it on one note, and last as it is printed."
)
LEVELS = _(
    "Play the bars once as soft and once as loud as the tone stays good. Then as printed, with more "
    "difference than you think is needed."
)
STROKES = _("Play the bars on one note with the printed slurs and dots. Then as printed, slowly.")

WAYS: dict[str, Promise] = {
    **dict.fromkeys(("stopped_early", "began_late", "left_out", "repeat_left_out", "repeat_added"), ORDER),
    **dict.fromkeys(("began_before", "played_on", "cut_not_made"), ORDER),
    **dict.fromkeys(("wrong_note", "missing_note"), NOTES),
    **dict.fromkeys(("intonation", "intonation_stretch", "intonation_wanders"), PITCH),
    **dict.fromkeys(("intonation_habit", "tuning_drift"), HABIT),
    **dict.fromkeys(("rushing", "dragging", "tempo_stretch", "tempo_change", "opening"), PULSE),
    **dict.fromkeys(("tempo_slow", "tempo_fast"), LADDER),
    **dict.fromkeys(("hesitation", "restart"), FLOW),
    "uneven_run": EVEN,
    **dict.fromkeys(("dotted", "triplets"), RHYTHM),
    **dict.fromkeys(("hairpin", "levels", "accents"), LEVELS),
    **dict.fromkeys(("staccato", "slurs"), STROKES),
}


@dataclass(frozen=True, slots=True)
class PlanItem:
    """`how` is empty where the teacher's own words are all there is; `minutes` a day."""

    card: Card
    how: str
    minutes: int = MINUTES


def how_to_practise(remark: Remark) -> str:
    """A way to practise what a drafted remark speaks of; empty where there is none."""
    return str(WAYS.get((remark.finding or {}).get("kind", ""), ""))


def plan_of(cards: Sequence[Card]) -> tuple[PlanItem, ...]:
    """The first five remarks that can be practised, in the teacher's order; no way twice on the same bars."""
    items: list[PlanItem] = []
    seen: set[tuple[str, str]] = set()
    for card in cards:
        how = how_to_practise(card.remark)
        if not how and not card.practice:
            continue
        same = (how, card.remark.bars)
        if same not in seen:
            items.append(PlanItem(card, how))
        seen.add(same)
    return tuple(items[:MOST_ITEMS])
