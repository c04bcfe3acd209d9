"""Changes of tempo written into kept music: its ids stay, and with them all that hangs on bars and notes."""

from collections.abc import Sequence
from dataclasses import replace

from django.db import transaction

from repertoire.models import EarlierScore, Excerpt, Fingering
from repertoire.notation.read.reading import CanonicalScore, load_canonical
from repertoire.notation.score import BadScore
from repertoire.notation.write.tempo_changes import TempoChange, write_tempos, written_tempos


def with_tempos(excerpt: Excerpt, changes: Sequence[TempoChange]) -> str:
    """The excerpt's MusicXML with these changes; the very same text where there is nothing to write."""
    if not changes and not written_tempos(excerpt.musicxml):
        return excerpt.musicxml
    begins = float(excerpt.marked_bpm) * excerpt.beat_unit_q
    return write_tempos(excerpt.musicxml, changes, begins_q_per_minute=begins)


def keep_tempos(excerpt: Excerpt, musicxml: str, *, by) -> None:
    """Save the excerpt with this text; takes measured before know what they were measured against."""
    before, after = excerpt.content_hash, Excerpt.hash_of(musicxml)
    with transaction.atomic():
        if before != after and excerpt.is_in_use:
            EarlierScore.objects.create(
                excerpt=excerpt, musicxml=excerpt.musicxml, content_hash=before, replaced_by=by
            )
        Fingering.objects.filter(excerpt=excerpt, content_hash=before).update(content_hash=after)
        excerpt.musicxml = musicxml
        excerpt.save()


def with_earlier_tempos(excerpt: Excerpt, canonical: CanonicalScore) -> CanonicalScore:
    """A corrected score with the changes written into the music before, where it still has room for them."""
    musicxml = canonical.musicxml
    kept: list[TempoChange] = []
    begins = float(excerpt.marked_bpm) * excerpt.beat_unit_q
    for change in written_tempos(excerpt.musicxml):
        try:
            musicxml = write_tempos(canonical.musicxml, [*kept, change], begins_q_per_minute=begins)
        except BadScore:
            continue
        kept.append(change)
    return replace(canonical, musicxml=musicxml, score=load_canonical(musicxml)) if kept else canonical
