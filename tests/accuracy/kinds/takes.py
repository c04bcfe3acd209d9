"""One take of each kind: a page, how it was played, and what was added to the sound.

Times and pitches of all notes are known as in the benchmark: what was asked of the synthesiser, and how late
each of its samples speaks. Notes struck together are played by `perform` as their upper note alone; the
others follow it within some milliseconds.
"""

import io
from dataclasses import dataclass, replace

import numpy as np
import scipy.signal

from fixtures.sounds.playing import Hand, Performance, Sounding, perform
from recordings.analysis.document.contract import AnalysisSettings
from recordings.analysis.recording.decode import SAMPLE_RATE as SPOKEN_RATE
from repertoire.notation.order import forms
from repertoire.notation.read import reading
from repertoire.notation.score import Form
from tests.accuracy.bench import room
from tests.accuracy.bench.instruments import PLAYERS, Player
from tests.accuracy.bench.midi import MidiNote
from tests.accuracy.bench.sheet import Sheet, musicxml
from tests.accuracy.bench.synth import SAMPLE_RATE, render
from tests.accuracy.bench.takes import Recipe, Studio, Take
from tests.accuracy.long_recordings.talk import talk

PLAYERS_OF_CHORDS = {
    player.name: player
    for player in (
        Player("harp", 46, 36, 88, 57, 0.0),
        Player("piano", 0, 36, 88, 55, 0.0),
        Player("organ", 19, 36, 88, 55, 0.0),
    )
}
OTHERS = {
    player.name: player
    for player in (
        Player("viola", 41, 48, 86, 57, 14.0),
        Player("saxophone", 65, 49, 80, 56, 0.0),
        Player("bassoon", 70, 36, 70, 43, 0.0),
        Player("trombone", 57, 40, 72, 46, 0.0),
    )
}
PLUCKED = Player("plucked violin", 45, 55, 93, 62, 0.0)
RINGS_S = 1.2  # what is struck and not damped sounds on for so long, the organ apart
TOGETHER_SD_S = 0.008
WRONG_SHARE = 0.12  # of the notes struck with others
PIANO = 0  # its program
PIANO_VELOCITY = 80
ROOT_MIDI = 50


@dataclass(frozen=True, slots=True)
class Way:
    """How a page is played and by whom."""

    player: Player
    kind: str
    seed: int
    judged: bool = True  # whether the instrument's pitch is the player's
    wrong: bool = False
    piano_db: float | None = None  # level of a piano against the solo
    announced: bool = False
    cents_known: bool = True

    @property
    def rng(self) -> np.random.Generator:
        return np.random.default_rng([self.seed, *self.kind.encode(), *self.player.name.encode()])


@dataclass(frozen=True, slots=True)
class KindTake:
    """`other`: the form the sound is held against, where it is not what was played."""

    way: Way
    take: Take
    settings: AnalysisSettings
    other: Form | None = None
    music_from_s: float = 0.0


def form_of(sheet: Sheet) -> Form:
    return forms.play(reading.read_score(musicxml(sheet)).score)


def play(way: Way, sheet: Sheet, studio: Studio) -> KindTake:
    """The same way and page, the same take."""
    rng = way.rng
    form = form_of(sheet)
    played = _performed(way, form, sheet, rng)
    solo = _rendered(way, played)
    sampled = studio.sampled(way.player, {note.midi for note in played.notes})
    known = _begun_together(form, [_known(note, sampled[note.midi]) for note in played.notes])
    sound = solo if way.piano_db is None else solo + _piano(form, played, solo, way.piano_db)
    lead_s = 0.0
    if way.announced:
        spoken = _announcement(rng, np.sqrt(np.mean(solo**2)))
        sound, lead_s = np.concatenate([spoken, sound]), spoken.size / SAMPLE_RATE
    truth = _later(replace(played, notes=known), lead_s)
    recipe = Recipe(way.player.name, sheet.title, way.kind, way.seed)
    take = Take(recipe, form, sheet, truth, room.wav_file(sound))
    return KindTake(way, take, settings_of(sheet, judged=way.judged), music_from_s=lead_s)


def settings_of(sheet: Sheet, *, judged: bool) -> AnalysisSettings:
    return AnalysisSettings(marked_bpm=sheet.bpm, beat_unit_q=sheet.beat_unit_q, intonation_judged=judged)


def held_against(played: KindTake, sheet: Sheet) -> KindTake:
    """The same sound, as if another page had been asked for."""
    file = io.BytesIO(played.take.file.getvalue())
    settings = settings_of(sheet, judged=played.way.judged)
    return replace(played, take=replace(played.take, file=file), settings=settings, other=form_of(sheet))


def _performed(way: Way, form: Form, sheet: Sheet, rng: np.random.Generator) -> Performance:
    """Upper notes as one line, then everything that is struck with them."""
    line = form_of(_upper(sheet))
    hand = Hand(bpm=0.97 * sheet.bpm, cents_sd=10.0 if way.judged else 0.0,
                ramp=((0, 1.0), (0.5 * len(form.bars), 1.05), (len(form.bars), 0.97)))  # fmt: skip
    played = perform(line, hand, beat_unit_q=sheet.beat_unit_q, rng=rng)
    together: dict[tuple[int, float], list[int]] = {}
    for index, one in enumerate(form.notes):
        together.setdefault((one.position, round(one.start_q, 3)), []).append(index)
    notes = []
    for upper in played.notes:
        printed = line.notes[upper.index]
        struck = together[printed.position, round(printed.start_q, 3)]
        erring = (
            int(rng.choice(struck)) if way.wrong and len(struck) > 1 and rng.random() < WRONG_SHARE else None
        )
        for index in struck:
            notes.append(_struck(form, upper, index, wrong=index == erring, cents_sd=hand.cents_sd, rng=rng))
    return replace(played, notes=tuple(sorted(notes, key=lambda note: note.onset_s)))


def _struck(form: Form, upper: Sounding, index: int, *, wrong: bool, cents_sd: float, rng) -> Sounding:
    midi = form.notes[index].note.midi
    if wrong:
        return replace(upper, index=index, midi=midi + int(rng.choice((-2, -1, 1, 2))), status="wrong_pitch")
    if midi == upper.midi:
        return replace(upper, index=index)
    onset_s = upper.onset_s + TOGETHER_SD_S * float(np.clip(rng.standard_normal(), -2, 2))
    return replace(
        upper, index=index, midi=midi, onset_s=onset_s, cents=cents_sd * float(rng.standard_normal())
    )


def _upper(sheet: Sheet) -> Sheet:
    return replace(
        sheet,
        bars=tuple(replace(bar, notes=tuple(replace(n, below=()) for n in bar.notes)) for bar in sheet.bars),
    )


def _rendered(way: Way, played: Performance) -> np.ndarray:
    rings_s = RINGS_S if way.player.name in ("harp", "piano") else 0.0
    return render(
        [MidiNote(n.onset_s, n.offset_s + rings_s, n.midi, float(round(n.cents)),
                  int(np.clip(127 * 10 ** (n.level_db / 40), 1, 127)))
         for n in played.notes],
        program=way.player.program,
    )  # fmt: skip


def _known(note: Sounding, sampled) -> Sounding:
    length_s = note.offset_s - note.onset_s
    return replace(
        note,
        onset_s=note.onset_s + sampled.delay_s,
        cents=float(round(note.cents)) + sampled.middle_cents(length_s),
        level_db=note.level_db + sampled.level_db,
    )


def _begun_together(form: Form, notes: list[Sounding]) -> tuple[Sounding, ...]:
    """What is struck together begins when the first of it is heard: the score has one moment for it."""
    first: dict[tuple[int, float], float] = {}
    moments = [(note.position, round(form.notes[note.index].start_q, 3)) for note in notes]
    for moment, note in zip(moments, notes, strict=True):
        first[moment] = min(note.onset_s, first.get(moment, note.onset_s))
    begun = [replace(n, onset_s=first[moment]) for moment, n in zip(moments, notes, strict=True)]
    return tuple(sorted(begun, key=lambda note: note.onset_s))


def _piano(form: Form, played: Performance, solo: np.ndarray, db: float) -> np.ndarray:
    """A triad under each half bar, its RMS `db` from the solo's, with no silence of its own."""
    notes = []
    for bar in played.bars:
        half_s = (bar.end_s - bar.start_s) / 2
        for number in range(2):
            root = ROOT_MIDI + (0, 5, 7, 9)[(bar.position + number) % 4]
            start_s = bar.start_s + number * half_s
            notes += [
                MidiNote(start_s, start_s + half_s, root + step, 0.0, PIANO_VELOCITY) for step in (0, 4, 7)
            ]
    piano = render(notes, program=PIANO)
    beside = np.zeros_like(solo)
    beside[: min(piano.size, solo.size)] = piano[: solo.size]
    return beside * np.sqrt(np.mean(solo**2) / np.mean(beside**2)) * 10 ** (db / 20)


def _announcement(rng: np.random.Generator, rms: float) -> np.ndarray:
    """Some seconds of talk as loud as the music, and a pause."""
    spoken = talk(float(rng.uniform(3.0, 6.0)), rng)
    spoken = scipy.signal.resample_poly(spoken, SAMPLE_RATE // SPOKEN_RATE, 1)
    spoken *= rms / np.sqrt(np.mean(spoken**2)) * 10 ** (rng.uniform(-6, 3) / 20)
    return np.concatenate([spoken, np.zeros(round(float(rng.uniform(0.2, 1.5)) * SAMPLE_RATE))])


def _later(played: Performance, by_s: float) -> Performance:
    return replace(
        played,
        notes=tuple(replace(n, onset_s=n.onset_s + by_s, offset_s=n.offset_s + by_s) for n in played.notes),
        bars=tuple(replace(b, start_s=b.start_s + by_s, end_s=b.end_s + by_s) for b in played.bars),
    )


def plucked(seed: int) -> Way:
    """What is plucked has died before its time is over: the pitch of its middle is not known."""
    return Way(PLUCKED, "plucked", seed, cents_known=False)


def solo(name: str, kind: str, seed: int, **more) -> Way:
    return Way(PLAYERS[name], kind, seed, **more)


def another(name: str, kind: str, seed: int) -> Way:
    return Way(OTHERS[name], kind, seed)


def struck(name: str, kind: str, seed: int) -> Way:
    return Way(PLAYERS_OF_CHORDS[name], kind, seed, judged=False)
