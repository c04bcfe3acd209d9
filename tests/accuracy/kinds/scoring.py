"""What one take of a kind was told, held to what is true of it."""

import time
from collections import Counter
from dataclasses import dataclass

from fixtures.sounds.playing import Sounding
from recordings.analysis import analyse
from recordings.analysis.recording import decode
from tests.accuracy.bench.scoring import ONSET_WINDOW_S, RIGHT_CENTS, TakeScore, score
from tests.accuracy.bench.takes import Take

from .takes import KindTake

FOLLOWED_SHARE = 0.9  # of the notes, placed within `PLACED_S`
PLACED_S = 0.25


@dataclass(frozen=True, slots=True)
class KindScore:
    """`notes` empty and `refused` told where the page was not the one played, and the other way round."""

    name: str
    kind: str
    refused: bool
    scored: TakeScore | None
    kinds_told: tuple[str, ...]
    checks_raised: tuple[str, ...]
    first_off_s: float | None  # the first note as told, from the first that sounded
    last_heard: bool
    notes: tuple["NoteTold", ...] = ()

    @property
    def placed_share(self) -> float:
        """Of the notes that sounded, told to have sounded where they did."""
        notes = self.scored.notes if self.scored else ()
        near = [n.onset_off_s is not None and abs(n.onset_off_s) <= PLACED_S for n in notes]
        return sum(near) / len(near) if near else 0.0

    @property
    def followed(self) -> bool:
        return bool(self.scored and self.scored.form_right and self.placed_share >= FOLLOWED_SHARE)


@dataclass(frozen=True, slots=True)
class NoteTold:
    """One note told: how sure, and whether all that was told of it is right."""

    instrument: str
    confidence: float
    right: bool
    together: bool  # struck with others


def measure(played: KindTake) -> KindScore:
    take, form = played.take, played.other or played.take.form
    begun_s = time.process_time()
    document = analyse.analyse(decode.decode(take.file), form, played.settings).to_json()
    cpu_s = time.process_time() - begun_s
    kinds = tuple(f["kind"] for f in document["findings"])
    checks = tuple(c["kind"] for c in document["recording"]["checks"] if c["verdict"] != "fine")
    name = f"{take.recipe.instrument} {take.sheet.title} {take.recipe.seed}"
    refused = kinds == ("not_recognised",)
    if played.other is not None:
        return KindScore(name, played.way.kind, refused, None, kinds, checks, None, False)
    told = [n for n in document["notes"] if n["onset_s"] is not None]
    first = min((n["onset_s"] for n in told), default=None)
    last = take.truth.notes[-1]
    last_id = take.form.notes[last.index].note.note_id
    return KindScore(
        name, played.way.kind, refused, score(take, document, cpu_s=cpu_s), kinds, checks,
        None if first is None else first - take.truth.notes[0].onset_s,
        any(n["note_id"] == last_id and n["position"] == last.position and n["status"] == "played"
            for n in document["notes"]),
        told_of(take, document, cents_known=played.way.cents_known),
    )  # fmt: skip


def told_of(take: Take, document: dict, *, cents_known: bool = True) -> tuple[NoteTold, ...]:
    """Every note with a status that claims something: played as printed, another pitch, not played.

    Right: the status is true, the onset lies within 50 ms, and so do cents within 10 where they are told. A
    note told as not played is right where all that sounded of it is told elsewhere.
    """
    form = take.form
    sounded: dict[str, list[Sounding]] = {}
    for one in take.truth.notes:
        sounded.setdefault(form.notes[one.index].note.note_id, []).append(one)
    told = Counter(n["note_id"] for n in document["notes"] if n["status"] in ("played", "wrong_pitch"))
    moments = Counter((n.position, round(n.start_q, 3)) for n in form.notes)
    together = {n.note.note_id for n in form.notes if moments[n.position, round(n.start_q, 3)] > 1}
    from_440 = document["tuning"]["cents_from_440"] or 0.0
    found = []
    for note in document["notes"]:
        true = sounded.get(note["note_id"], [])
        if note["status"] == "missing":
            right = len(true) <= told[note["note_id"]]
        else:
            right = any(_is_right(note, one, from_440 if cents_known else None) for one in true)
        if note["status"] != "uncertain":
            found.append(NoteTold(take.recipe.instrument, note["confidence"], right,
                                  note["note_id"] in together))  # fmt: skip
    return tuple(found)


def _is_right(note: dict, true: Sounding, from_440: float | None) -> bool:
    if note["status"] != true.status or abs(note["onset_s"] - true.onset_s) > ONSET_WINDOW_S:
        return False
    if note["status"] == "wrong_pitch":
        return note["heard_midi"] == true.midi
    cents = note["deviation_cents"]
    return cents is None or from_440 is None or abs(cents + from_440 - true.cents) <= RIGHT_CENTS
