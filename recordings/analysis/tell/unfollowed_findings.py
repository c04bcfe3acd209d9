"""Said where something sounds that could not be followed: neither a stop nor a hesitation, and no fault.

Seconds and printed bar labels in, findings out. Nothing is raised.
"""

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.unfollowed import Unfollowed
from recordings.analysis.tell.finding import Finding

WEIGHT_TO_THE_END, WEIGHT_INSIDE = 97.0, 50.0


def not_followed(matched: MatchedForm, stretches: tuple[Unfollowed, ...], *, lost: bool) -> list[Finding]:
    """One finding a stretch; what sounds after a form played to its end is no part of it and not told."""
    found = []
    for stretch in stretches:
        if stretch.to_the_end and not lost:
            continue
        bar = [bar for bar in matched.bars if bar.start_s <= stretch.start_s][-1]
        if stretch.to_the_end:
            text, weight = sentences.FIND_NOT_FOLLOWED_ON(bar=bar.bar), WEIGHT_TO_THE_END
        else:
            seconds = round(stretch.sounding_s)
            text, weight = sentences.FIND_NOT_FOLLOWED(bar=bar.bar, seconds=seconds), WEIGHT_INSIDE
        found.append(
            Finding(
                "not_followed",
                bar.bar,
                (bar.bar,),
                bar.position,
                stretch.start_s,
                stretch.end_s,
                text,
                weight,
                evidence={"sounding_s": round(stretch.sounding_s, 1)},
            )
        )
    return found
