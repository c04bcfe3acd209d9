"""A corrected score in the place of the one kept: what hangs on its bars stays, what it was is kept too."""

import copy
from dataclasses import asdict

from django.db import transaction

from repertoire.library.comparison import same_bars
from repertoire.library.order_check import order_question
from repertoire.library.transposition import as_transposed
from repertoire.library.written_tempos import with_earlier_tempos
from repertoire.models import EarlierScore, Excerpt
from repertoire.notation.order.forms import describe, play, printed_range
from repertoire.notation.order.order_line import parse_order
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.score import BadScore, Score


def has_bars(score: Score, first: str, last: str) -> bool:
    try:
        printed_range(score, first, last)
    except BadScore:
        return False
    return True


def has_line(score: Score, line: str) -> bool:
    try:
        parse_order(score, line)
    except BadScore:
        return False
    return True


def lost_notes(excerpt: Excerpt, score: Score) -> int:
    """How many bar notes stand at bars the corrected score no longer has; they are kept."""
    return sum(
        not has_bars(score, note.from_bar, note.to_bar or note.from_bar) for note in excerpt.bar_notes.all()
    )


def as_kept(excerpt: Excerpt, canonical: CanonicalScore) -> tuple[CanonicalScore, bool]:
    """What the director said before of the transposition and of changes of tempo still holds.

    The second value tells whether the transposition was taken over.
    """
    canonical = with_earlier_tempos(excerpt, canonical)
    kept = excerpt.score.transposition
    usual = kept == excerpt.instrument_facts.transposition
    if usual and canonical.score.transposition == 0 and kept:
        return as_transposed(canonical, kept), True
    return canonical, False


def correct(excerpt: Excerpt, canonical: CanonicalScore, *, by) -> None:
    """Put the corrected score in place; bar notes go along, the score before is kept."""
    question = order_question(canonical)
    with transaction.atomic():
        kept = Excerpt.objects.select_for_update().get(pk=excerpt.pk)
        old = kept.score
        EarlierScore.objects.create(
            excerpt=kept, musicxml=kept.musicxml, content_hash=kept.content_hash, replaced_by=by
        )
        same_order = describe(play(old)) == describe(play(canonical.score))
        kept.musicxml = canonical.musicxml
        kept.bar_count = len(canonical.score.measures)
        kept.order_text = describe(play(canonical.score))
        kept.order_confirmed = question is None or (same_order and kept.order_confirmed)
        kept.order_question = None if kept.order_confirmed or question is None else asdict(question)
        kept.save()
        _move_notes(kept, old, canonical.score)
    excerpt.refresh_from_db()


def _move_notes(excerpt: Excerpt, old: Score, new: Score) -> None:
    """Bar notes that name one printed note follow it: the same place in the bar of the same label."""
    same = same_bars(old, new)
    followed: dict[str, str] = {}
    for before, after in same.items():
        pairs = zip(old.notes_in(before), new.notes_in(after), strict=False)
        followed |= {was.note_id: now.note_id for was, now in pairs}
    for note in excerpt.bar_notes.exclude(note_id=""):
        note.note_id = followed.get(note.note_id, "")
        note.save(update_fields=["note_id"])


def earlier_version(excerpt: Excerpt, content_hash: str) -> Excerpt | None:
    """The excerpt with the music it had under this hash, not to be saved; None where it never had it."""
    if content_hash == excerpt.content_hash:
        return excerpt
    earlier = excerpt.earlier_scores.filter(content_hash=content_hash).last()
    return None if earlier is None else with_music(excerpt, earlier)


def with_music(excerpt: Excerpt, earlier: EarlierScore) -> Excerpt:
    before = copy.copy(excerpt)
    before.musicxml, before.content_hash = earlier.musicxml, earlier.content_hash
    return before
