"""Takes with exact truth: an etude, a way to play it, a sound, and what is known of every note in it."""

import io
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fixtures.sounds.playing import Hand, Performance, Sounding, perform
from repertoire.notation.order import forms
from repertoire.notation.read import reading
from repertoire.notation.score import Form

from . import etudes, room
from .instruments import PLAYERS, Player
from .midi import MidiNote, scoop_at, vibrato_at
from .sheet import Sheet, musicxml
from .sounding import CURVE_STEP_S, SampledPitch, listen
from .synth import render

CLEAN_PACE = 0.97  # of the marked tempo
CENTS_SD, ONSET_SD_S = 12.0, 0.006
VIBRATO_HZ = (4.8, 6.6)  # one rate a take
SCOOP_CENTS, SCOOPED_SHARE = (30.0, 80.0), 0.5
SECOND_TUNING_HZ = 442.0
WRONG_SHARE, MISSED_SHARE = 0.08, 0.04


@dataclass(frozen=True, slots=True)
class Recipe:
    """All that is needed to make one take again."""

    instrument: str
    etude: str
    variant: str = "clean"
    seed: int = 1

    @property
    def name(self) -> str:
        return f"{self.instrument}-{self.etude}-{self.variant}-{self.seed}"


@dataclass(frozen=True, slots=True)
class Take:
    """`truth` holds when each note is heard, its cents from A = 440 at its own MIDI number, and its level.

    `vibrato`: (Hz, half width in cents) of every note of `truth`, the sample's own swaying included.
    """

    recipe: Recipe
    form: Form
    sheet: Sheet
    truth: Performance
    file: io.BytesIO
    vibrato: tuple[tuple[float, float], ...] = ()


def _straight(form: Form, rng: np.random.Generator) -> dict:
    return {}


def _half(form: Form, rng: np.random.Generator) -> dict:
    return {"pace": 0.5}


def _stops_early(form: Form, rng: np.random.Generator) -> dict:
    return {"runs": ((0, round(0.6 * len(form.bars))),)}


def _repeat_left_out(form: Form, rng: np.random.Generator) -> dict:
    """Straight on where the repeat or da capo would turn back, by the last ending where there are endings."""
    back = next(bar.position for bar in form.bars if bar.pass_number == 2)
    again = [bar for bar in form.bars if bar.pass_number == 2]
    last = again[-1].position
    turned = form.bars[back - 1].measure_index  # the first ending, the last bar repeated or the da capo's
    first_ending = again[-1].measure_index == turned - 1
    return {"runs": ((0, back - 2 if first_ending else back - 1), (last + 1, len(form.bars) - 1))}


def _starts_again(form: Form, rng: np.random.Generator) -> dict:
    stop = int(rng.integers(3, len(form.bars) - 2))
    return {"runs": ((0, stop), (stop - 1, len(form.bars) - 1))}


def _errs(form: Form, rng: np.random.Generator) -> dict:
    """Wrong notes by up to three semitones and notes left out, never two errors side by side."""
    place, before, wrong, missed = {}, -2, [], []
    for index, note in enumerate(form.notes):
        place[note.position] = place.get(note.position, -1) + 1
        chance = rng.random()
        if index - before < 2 or index in (0, len(form.notes) - 1):
            continue
        if chance < WRONG_SHARE:
            off = int(rng.choice((-3, -2, -1, 1, 2, 3)))
            wrong.append((note.position, place[note.position], off))
            before = index
        elif chance < WRONG_SHARE + MISSED_SHARE:
            missed.append((note.position, place[note.position]))
            before = index
    return {"wrong": tuple(wrong), "missed": tuple(missed)}


MISTAKES: dict[str, Callable[[Form, np.random.Generator], dict]] = {
    "half_tempo": _half,
    "early_stop": _stops_early,
    "no_repeat": _repeat_left_out,
    "restart": _starts_again,
    "wrong_notes": _errs,
}


class Studio:
    """Makes takes; every pitch of an instrument is measured once and kept."""

    def __init__(self) -> None:
        self._sampled: dict[tuple[str, int], SampledPitch] = {}

    def sampled(self, player: Player, midis: set[int]) -> dict[int, SampledPitch]:
        wanted = sorted(midi for midi in midis if (player.name, midi) not in self._sampled)
        if wanted:
            for midi, found in listen(player.program, wanted).items():
                self._sampled[player.name, midi] = found
        return {midi: self._sampled[player.name, midi] for midi in midis}

    def take(self, recipe: Recipe) -> Take:
        """The same recipe gives the same take; variants of one seed share their etude and their cents."""
        player = PLAYERS[recipe.instrument]
        where = (list(PLAYERS).index(recipe.instrument), list(etudes.ETUDES).index(recipe.etude))
        sheet = etudes.etude(recipe.etude, player, np.random.default_rng([recipe.seed, 1, *where]))
        form = forms.play(reading.read_score(musicxml(sheet)).score)
        hand = _hand(recipe, form, sheet, np.random.default_rng([recipe.seed, 2, *where]))
        rng = np.random.default_rng([recipe.seed, 3, *where])
        played = perform(form, hand, beat_unit_q=sheet.beat_unit_q, rng=rng)
        from_440 = 1200.0 * np.log2(hand.a4_hz / 440.0)
        slow = recipe.etude == "legato"
        extra = np.random.default_rng([recipe.seed, 5, *where])
        sway = (player.vibrato_cents if slow else 0.0, float(extra.uniform(*VIBRATO_HZ)))
        struck = [_struck(note, from_440, sway, _scoop(recipe, extra)) for note in played.notes]
        sound = render(struck, program=player.program)
        sampled = self.sampled(player, {note.midi for note in played.notes})
        both = [(note, one, sampled[note.midi]) for note, one in zip(played.notes, struck, strict=True)]
        known = tuple(_known(note, one, detected) for note, one, detected in both)
        file = _recorded(sound, recipe.variant, np.random.default_rng([recipe.seed, 4, *where]))
        swaying = tuple(_swaying(one, detected) for _note, one, detected in both)
        return Take(recipe, form, sheet, replace(played, notes=known), file, swaying)


def _hand(recipe: Recipe, form: Form, sheet: Sheet, rng: np.random.Generator) -> Hand:
    reported = MISTAKES.get(recipe.variant, _straight)(form, rng)
    last = len(form.bars) - 1
    a4_hz = SECOND_TUNING_HZ if recipe.variant == "at_442" else 440.0
    return Hand(
        bpm=sheet.bpm * reported.pop("pace", CLEAN_PACE),
        a4_hz=a4_hz,
        ramp=sheet.ramp or ((0, 1.0), (0.5 * last, 1.05), (last, 0.97)),
        cents_sd=CENTS_SD,
        onset_sd_s=ONSET_SD_S,
        **reported,
    )


def _scoop(recipe: Recipe, rng: np.random.Generator) -> float:
    if recipe.variant != "scoops" or rng.random() > SCOOPED_SHARE:
        return 0.0
    return float(rng.uniform(*SCOOP_CENTS))


def _struck(note: Sounding, from_440: float, sway: tuple[float, float], scoop_cents: float) -> MidiNote:
    # the soundfont standard's velocity curve: 40 dB for each power of ten
    velocity = int(np.clip(127 * 10 ** (note.level_db / 40), 1, 127))
    return MidiNote(
        note.onset_s, note.offset_s, note.midi, _bend(note, from_440), velocity, *sway, scoop_cents
    )  # fmt: skip


def _bend(note: Sounding, from_440: float) -> float:
    """Whole cents from the MIDI pitch at 440 Hz, as the synthesiser has no finer ones."""
    return float(round(note.cents + from_440))


def _known(note: Sounding, struck: MidiNote, sampled: SampledPitch) -> Sounding:
    """When the note is heard, how high and how loud: what was asked for and the sample's own together."""
    length_s = note.offset_s - note.onset_s
    middle = sampled.middle(length_s)
    scooped = scoop_at(struck, np.arange(middle.start, middle.stop) * CURVE_STEP_S).mean()
    cents = struck.cents + float(scooped) + sampled.middle_cents(length_s)
    level_db = note.level_db + sampled.level_db
    return replace(note, onset_s=note.onset_s + sampled.delay_s, cents=cents, level_db=level_db)


def _swaying(struck: MidiNote, sampled: SampledPitch) -> tuple[float, float]:
    """(Hz, half width in cents) over the note's middle: the strongest swaying between 3 and 10 Hz."""
    middle = sampled.middle(struck.offset_s - struck.onset_s)
    since_s = np.arange(middle.start, middle.stop) * CURVE_STEP_S
    curve = sampled.cents[middle] + vibrato_at(struck, since_s)
    if curve.size < 30:
        return 0.0, 0.0
    curve = curve - np.polyval(np.polyfit(since_s, curve, 1), since_s)
    spectrum = np.abs(np.fft.rfft(curve * np.hanning(curve.size), 4096))
    hz = np.fft.rfftfreq(4096, CURVE_STEP_S)
    inside = (hz >= 3.0) & (hz <= 10.0)
    peak = int(np.flatnonzero(inside)[spectrum[inside].argmax()])
    return float(hz[peak]), float(2 * spectrum[peak] / np.hanning(curve.size).sum())


def _recorded(sound: np.ndarray, variant: str, rng: np.random.Generator) -> io.BytesIO:
    if variant == "room":
        return room.wav_file(room.in_a_room(sound, rng))
    if variant in ("aac", "opus"):
        return room.lossy_file(sound, {"aac": "aac", "opus": "libopus"}[variant])
    return room.wav_file(sound)
