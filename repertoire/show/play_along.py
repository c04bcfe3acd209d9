"""The times of a form as the page's own script reads them."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from repertoire.models import Excerpt
from repertoire.notation.keynote import keynote
from repertoire.notation.order.forms import printed_range
from repertoire.notation.order.order_line import LONGEST_LINE, parse_order
from repertoire.notation.order.playing_times import Click, playing_times
from repertoire.notation.score import Form, Score
from repertoire.notation.sentence import PitchName
from repertoire.wording.pitch_names import short_name

DRONE_OCTAVE = 48  # written C3; a player may put it an octave up or down
SLOWEST_BPM, FASTEST_BPM = 10.0, 400.0


def bpm_from_query(text: str, default: float) -> float:
    """A tempo from an address, within what can be counted; the marked one where it is no number."""
    try:
        bpm = float(text)
    except ValueError:
        return default
    return min(FASTEST_BPM, max(SLOWEST_BPM, bpm)) if bpm == bpm else default


@dataclass(frozen=True, slots=True)
class Controls:
    """What the page's tempo slider and bar choices offer, and what they begin with."""

    bpm: int
    target: int  # what a tempo ladder climbs to
    loop: bool
    drones: tuple[tuple[str, int], ...]  # written names from the keynote up, and what they sound as (MIDI)
    low: int
    high: int
    unit: str
    labels: tuple[str, ...]
    first: str
    last: str
    times: str  # the address of the times, with the repeats as asked


def controls(excerpt: Excerpt, asked: Mapping[str, str]) -> Controls:
    """From a third of the tempo to half as fast again, which covers slow practice and a stretch.

    `asked` may name bpm, target, from, to, loop and repeats, as a requirement's page and an answer do.
    """
    marked = bpm_from_query(asked.get("bpm", ""), float(excerpt.marked_bpm))
    target = bpm_from_query(asked.get("target", ""), marked)
    labels = tuple(dict.fromkeys(measure.number for measure in excerpt.score.measures))
    first, last = asked.get("from", ""), asked.get("to", "")
    return Controls(
        bpm=round(marked),
        target=round(target),
        loop=asked.get("loop") == "1",
        drones=_drones(excerpt.score),
        low=max(round(SLOWEST_BPM), round(min(marked, target / 3))),
        high=min(round(FASTEST_BPM), round(max(marked, target * 1.5))),
        unit=str(excerpt.get_beat_unit_display()),
        labels=labels,
        first=first if first in labels else labels[0],
        last=last if last in labels else labels[-1],
        times=f"{reverse('excerpt_times', args=[excerpt.pk])}?{urlencode(_passed_on(asked))}".rstrip("?"),
    )


def _drones(score: Score) -> tuple[tuple[str, int], ...]:
    """The twelve notes in the octave below middle C, as a player of the part reads them."""
    first = 7 * (keynote(score) or 0) % 12
    written = [DRONE_OCTAVE + (first + k) % 12 for k in range(12)]
    spelled = [score.written_pitch(midi + score.transposition) for midi in written]
    return tuple(
        (short_name(PitchName(pitch.letter, pitch.alter)), midi + score.transposition)
        for pitch, midi in zip(spelled, written, strict=True)
    )


def _passed_on(asked: Mapping[str, str]) -> dict[str, str]:
    return {name: asked[name][:LONGEST_LINE] for name in ("repeats", "form") if asked.get(name)}


def form_from_query(excerpt: Excerpt, asked: Mapping[str, str]) -> Form:
    """The form of ?form= as a line, else with or without ?repeats=; of it, bars ?from= to ?to=.

    Raises `BadScore` for bars the score, or the line, does not have.
    """
    first, last = asked.get("from", "")[:10], asked.get("to", "")[:10]
    bars = (first or last, last or first) if first or last else None
    line = asked.get("form", "")[:LONGEST_LINE]
    if not line:
        return excerpt.form(with_repeats=asked.get("repeats") != "0", bars=bars)
    order = parse_order(excerpt.score, line)
    return excerpt.form(order=_stretch(excerpt, order, *bars) if bars else order)


def _stretch(excerpt: Excerpt, order: tuple[int, ...], first: str, last: str) -> tuple[int, ...]:
    """From where the order first comes to bar `first` to where it last leaves bar `last`."""
    low, high = printed_range(excerpt.score, first, last)
    begins = next((k for k, index in enumerate(order) if index == low), None)
    ends = next((k for k in reversed(range(len(order))) if order[k] == high), None)
    if begins is None or ends is None or ends < begins:
        return tuple(index for index in order if low <= index <= high) or order
    return order[begins : ends + 1]


def times_document(excerpt: Excerpt, form: Form, *, bpm: float) -> dict:
    """Seconds from the first bar; clicks of the count-in lie before it, at negative times."""
    times = playing_times(
        form, bpm=bpm, beat_unit_q=excerpt.beat_unit_q, marked_bpm=float(excerpt.marked_bpm)
    )
    return {
        "bpm": round(bpm, 2),
        "beat_unit": excerpt.beat_unit_q,
        "length_s": round(times.length_s, 4),
        "count_in_s": round(times.count_in_s, 4),
        "notes": [
            {
                "id": note.note_id,
                "onset_s": round(note.onset_s, 4),
                "duration_s": round(note.duration_s, 4),
                "midi": note.midi,
                "bar": note.bar,
                "beat": round(note.beat, 4),
                "position": note.position,
            }
            for note in times.notes
        ],
        "clicks": [_click(click) for click in times.clicks],
        "count_in": [_click(click) for click in times.count_in],
        "bars": [
            {"at_s": round(bar.at_s, 4), "bar": bar.bar, "id": bar.measure_id, "position": bar.position}
            for bar in times.bars
        ],
    }


def _click(click: Click) -> dict:
    return {"at_s": round(click.at_s, 4), "accent": click.accent, "bar": click.bar, "beat": click.beat}
