"""From an uploaded score to a kept excerpt: read once, tempo as marked, order of play checked once."""

import re
import secrets
import zlib
from dataclasses import asdict, dataclass
from decimal import Decimal

from django.core import signing
from django.core.cache import caches

from repertoire.library.order_check import order_question
from repertoire.models import Excerpt
from repertoire.notation import messages
from repertoire.notation.order.forms import describe, play
from repertoire.notation.read.reading import CanonicalScore, load_canonical
from repertoire.notation.read.safety import DEFAULT_LIMITS, MEGABYTE
from repertoire.notation.score import BadScore, Score
from repertoire.notation.sentence import from_json

UNITS_Q = {float(value): value for value in Excerpt.BeatUnit.values}
KEPT_SALT = "repertoire.kept_score.3"
CHOICE_KEY = "score-aside:"
TOKEN = re.compile(r"[\w-]{20,64}")
KEPT_FOR_S = 24 * 3600


def upload_bytes(upload) -> bytes:
    """What was uploaded, up to the limit; raises `BadScore`."""
    if upload.size > DEFAULT_LIMITS.unpacked_bytes:
        raise BadScore(messages.TOO_BIG(megabytes=DEFAULT_LIMITS.unpacked_bytes // MEGABYTE))
    return upload.read()


def keep_for_choice(data: bytes) -> str:
    """Keep a score of several parts until a part is chosen, so that no file is chosen twice; its token."""
    token = secrets.token_urlsafe(24)
    caches["drawings"].set(CHOICE_KEY + token, zlib.compress(data), KEPT_FOR_S)
    return token


def kept_for_choice(token: str) -> bytes | None:
    """The bytes kept under this token; None when they are gone."""
    kept = caches["drawings"].get(CHOICE_KEY + token) if TOKEN.fullmatch(token) else None
    return None if kept is None else zlib.decompress(kept)


def signed(canonical: CanonicalScore) -> str:
    """A token of a score that was read well, to travel in the form, so that no file is chosen twice."""
    kept = {"musicxml": canonical.musicxml, "remarks": [asdict(remark) for remark in canonical.remarks]}
    return signing.dumps(kept, salt=KEPT_SALT, compress=True)


def from_signed(token: str) -> CanonicalScore | None:
    """The score of a `signed` token; None when the token is old or not ours."""
    try:
        kept = signing.loads(token, salt=KEPT_SALT, max_age=KEPT_FOR_S)
    except signing.BadSignature:
        return None
    musicxml = kept["musicxml"]
    remarks = tuple(from_json(remark) for remark in kept["remarks"])
    return CanonicalScore(musicxml=musicxml, score=load_canonical(musicxml), remarks=remarks)


@dataclass(frozen=True, slots=True)
class MarkedTempo:
    bpm: Decimal  # per beat unit
    beat_unit: str  # a value of Excerpt.BeatUnit


def tempo_in_score(score: Score, unit: str = "") -> MarkedTempo | None:
    """The metronome mark the music begins with, in `unit` when given; None where it begins without one."""
    mark = score.first_metronome_mark
    if mark is None or mark.bpm is None:
        return None
    unit = unit or UNITS_Q.get(mark.beat_unit_q, Excerpt.BeatUnit.QUARTER.value)
    bpm = Decimal(mark.bpm * mark.beat_unit_q / float(unit)).quantize(Decimal("0.1"))
    return MarkedTempo(bpm, unit)


def beat_unit_in_score(score: Score) -> str:
    """The unit the score counts in: that of its metronome mark, else its metre's beat, else a quarter."""
    marked = tempo_in_score(score)
    if marked is not None:
        return marked.beat_unit
    return UNITS_Q.get(score.measures[0].beat_q, Excerpt.BeatUnit.QUARTER.value)


def keep_music(
    canonical: CanonicalScore, *, title: str, instrument: str, order_known: bool = False, **fields
) -> tuple[Excerpt, bool]:
    """Save a read score as an excerpt, or find the same music kept before; the flag says which.

    `order_known` is for sheets written here, whose order of play needs no second reading.
    """
    question = None if order_known else order_question(canonical)
    return Excerpt.objects.get_or_create(
        title=title,
        instrument=instrument,
        content_hash=Excerpt.hash_of(canonical.musicxml),
        defaults={
            **fields,
            "musicxml": canonical.musicxml,
            "bar_count": len(canonical.score.measures),
            "order_text": describe(play(canonical.score)),
            "order_question": question and asdict(question),
            "order_confirmed": question is None,
        },
    )
