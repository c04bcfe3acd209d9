"""Words offered for a remark: one's phrases, the studio's, and what one wrote about the same thing before."""

import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Protocol

from django.db.models import F

from recordings.models import Phrase, Remark, Review, Take
from recordings.reviews.corrected import is_doubted
from recordings.reviews.score_data import NoteNames, tolerance_of
from recordings.reviews.verdicts import PLACE_OF

MOST_PHRASES = 200  # on one desk
EARLIER_LOOKED_AT, EARLIER_OFFERED = 60, 3
MOST_NOTES_NAMED = 4
SLIPS = ("wrong_pitch", "missing")
TOPICS = [topic.value for topic in Phrase.Topic]
# Both languages are read, whichever the page has: a studio's phrases are written once.
BARS = re.compile(r"\{(?:bars|Takte)\}")
NOTES = re.compile(r"\{(?:notes|Töne)\}")


class Offered(Protocol):
    """A row of the desk: a remark that may be drafted from a finding."""

    @property
    def key(self) -> str: ...

    @property
    def finding(self) -> dict | None: ...


def topic_of(finding: dict | None) -> str:
    return TOPICS[PLACE_OF.get((finding or {}).get("kind", ""), len(TOPICS) - 1)]


def with_notes(text: str, notes: str) -> str:
    """A phrase with its notes named; the place of the bars stays open, which a teacher may still change."""
    return NOTES.sub(lambda _place: notes, BARS.sub("{bars}", text)).strip()


def offers_for(take: Take, remarks: Sequence[Offered], user) -> dict[str, list[str]]:
    """By the key of a remark's row, the words offered for it; "own" for a new one. Two queries."""
    by_topic: dict[str, list[str]] = defaultdict(list)
    # One's own before the studio's.
    for phrase in Phrase.objects.visible_to(user).order_by(
        F("owner").asc(nulls_last=True), "topic", "text", "pk"
    )[:MOST_PHRASES]:
        by_topic[phrase.topic].append(phrase.text)
    earlier = _earlier(take, {row.finding["kind"] for row in remarks if row.finding}, user)
    everything = [text for topic in TOPICS for text in by_topic[topic]]
    notes = _NotesIn(take)
    offers = {"own": _once(everything, "")}
    for row in remarks:
        if row.finding is None:
            offers[row.key] = offers["own"]
            continue
        suited = [*by_topic[topic_of(row.finding)], *by_topic[Phrase.Topic.ANY]]
        offers[row.key] = _once([*earlier[row.finding["kind"]], *suited], notes.of(row.finding))
    return offers


def _once(texts: Sequence[str], notes: str) -> list[str]:
    return list(dict.fromkeys(with_notes(text, notes) for text in texts))


def _earlier(take: Take, kinds: set, user) -> defaultdict[str, list[str]]:
    """By kind of finding, one's own words to other students' takes on this instrument, the latest first."""
    rows = (
        Remark.objects.filter(
            review__reviewer=user,
            review__state=Review.State.RELEASED,
            review__take__requirement__instrument=take.requirement.instrument,
            verdict=Remark.Verdict.KEPT,
            own_text__isnull=False,
            finding__kind__in=sorted(kinds),
        )
        .exclude(review__take=take)
        .order_by("-review__released_at", "-pk")
        .values_list("finding__kind", "own_text", "bars")[:EARLIER_LOOKED_AT]
    )
    found: defaultdict[str, list[str]] = defaultdict(list)
    for kind, text, bars in rows:
        phrase = with_places(text or "", bars)
        if phrase and phrase not in found[kind] and len(found[kind]) < EARLIER_OFFERED:
            found[kind].append(phrase)
    return found


def with_places(text: str, bars: str) -> str:
    """The words of a remark with its own bars as a place to be filled in."""
    return re.sub(rf"\b(?:bars?|Takte?n?) {re.escape(bars)}(?![\d-])", "{bars}", text) if bars else text


class _NotesIn:
    """The names of the notes a finding may speak of: those in its bars that were told as wrong or off."""

    def __init__(self, take: Take) -> None:
        result = take.analysis.result or {}
        tolerance = tolerance_of(result)
        self.doubted = [note for note in result.get("notes", []) if is_doubted(note, tolerance)]
        self.names = NoteNames(take.requirement.excerpt.score)

    def of(self, finding: dict | None) -> str:
        """Without octaves, the most frequent first; what comes far less often is about something else."""
        bars = set((finding or {}).get("bar_list") or [])
        slips = topic_of(finding) == Phrase.Topic.NOTES
        here = [note for note in self.doubted if note["bar"] in bars and (note["status"] in SLIPS) == slips]
        named = Counter(self.names.of(note["note_id"]).rstrip("0123456789") for note in here)
        most = max(named.values(), default=0)
        return ", ".join([name for name, count in named.most_common(MOST_NOTES_NAMED) if 2 * count >= most])
