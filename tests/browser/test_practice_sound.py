"""What practising sounds like, measured from sound that Chromium renders faster than it would play it."""

import base64
import json

import numpy as np
import pytest

RATE = 44_100
RENDER = """
async ({ plan, seconds, options, drone, midi, aHz }) => {
  const [{ Synth }, { Timetable, atTempo }] = await Promise.all(
    ["synth", "timetable"].map((name) => import(`/static/repertoire/${name}.js`)));
  const context = new OfflineAudioContext(1, 44100 * seconds, 44100);
  const synth = new Synth(1, { context, aHz: aHz ?? 440 });
  let events = [];
  if (plan) {
    const { bpm, ...how } = options;
    const table = new Timetable(bpm ? atTempo(plan, bpm) : plan, how);
    synth.letHear({ notes: false, clicks: true });
    events = table.between(table.beginsS, seconds);
    for (const event of events) synth.sound(event, 1.5);
  }
  if (drone) synth.drone(drone, 0);
  if (midi) synth.note(midi, 0.1, seconds - 0.3);
  const rendered = await context.startRendering();
  const bytes = new Uint8Array(rendered.getChannelData(0).buffer);
  let text = "";
  for (let k = 0; k < bytes.length; k += 32768) text += String.fromCharCode(...bytes.subarray(k, k + 32768));
  return { sound: btoa(text), events: JSON.stringify(events) };
}
"""
CLIMB = """
async () => {
  const { Ladder } = await import("/static/repertoire/ladder.js");
  const ladder = new Ladder(100, 15);
  const seen = [];
  while (!ladder.done && seen.length < 50) {
    seen.push(ladder.bpm);
    if (seen.length === 2) ladder.wasNotYet(); else ladder.wasCalm();
  }
  return seen;
}
"""


@pytest.fixture
def heard(page, transactional_db):
    """`heard(seconds=.., ...)`: the rendered sound and the events it was made of."""
    page.goto("/accounts/login/")

    def rendered(**asked) -> tuple[np.ndarray, list[dict]]:
        answer = page.evaluate(RENDER, {"options": {}, **asked})
        return np.frombuffer(base64.b64decode(answer["sound"]), np.float32), json.loads(answer["events"])

    return rendered


def plan(beats: int = 4, bars: int = 2, bpm: float = 97.0) -> dict:
    """Bars of so many beats at an uneven tempo, one note a beat, with a bar's count-in."""
    beat_s = 60 / bpm
    every = [(bar, beat) for bar in range(bars) for beat in range(beats)]
    return {
        "bpm": bpm,
        "length_s": bars * beats * beat_s,
        "count_in_s": beats * beat_s,
        "notes": [
            {"id": f"n{k}", "onset_s": k * beat_s, "duration_s": beat_s, "midi": 69, "position": bar}
            for k, (bar, _) in enumerate(every)
        ],
        "clicks": [
            {"at_s": k * beat_s, "accent": beat == 0, "bar": str(bar + 1), "beat": beat + 1}
            for k, (bar, beat) in enumerate(every)
        ],
        "count_in": [
            {"at_s": (beat - beats) * beat_s, "accent": beat == 0, "bar": "", "beat": beat + 1}
            for beat in range(beats)
        ],
        "bars": [
            {"at_s": bar * beats * beat_s, "bar": str(bar + 1), "id": f"b{bar}", "position": bar}
            for bar in range(bars)
        ],
    }


def onsets_s(sound: np.ndarray) -> np.ndarray:
    """Where clicks begin: each passes a tenth of its own height."""
    level = np.abs(sound)
    loud = level > 0.02 * level.max()
    starts = np.flatnonzero(loud & ~np.roll(loud, 1))
    firsts = [starts[0]]
    for start in starts:
        if start - firsts[-1] > 0.06 * RATE:
            firsts.append(start)
    found = []
    for first in firsts:
        click = level[first : first + int(0.03 * RATE)]
        found.append((first + np.argmax(click > 0.1 * click.max())) / RATE)
    return np.array(found)


def jitter_s(sound: np.ndarray, events: list[dict]) -> float:
    """Largest distance of any click from where it belongs, but for what all have in common."""
    wanted = np.array([event["atS"] for event in events if event["kind"] == "click"])
    found = onsets_s(sound)
    assert len(found) == len(wanted)
    off = found - wanted
    return float(np.max(np.abs(off - np.median(off))))


def test_clicks_lie_within_two_milliseconds_of_the_beat(heard):
    sound, events = heard(plan=plan(), seconds=5, options={"countIn": False})
    off = jitter_s(sound[: int(4.9 * RATE)], [event for event in events if event["atS"] < 3.4])
    print(f"click jitter: {1000 * off:.3f} ms")
    assert off < 0.002


def test_the_seam_of_a_loop_keeps_the_beat(heard):
    music = plan(beats=3, bars=1, bpm=131.0)
    sound, events = heard(plan=music, seconds=6, options={"loop": True})
    clicks = [event for event in events if event["kind"] == "click" and event["atS"] < 4.4]
    assert len(clicks) >= 9
    off = jitter_s(sound[: int(5.9 * RATE)], clicks)
    print(f"loop seam: {1000 * off:.3f} ms over {len(clicks)} clicks")
    assert off < 0.002


@pytest.mark.parametrize(("midi", "a_hz"), [(45, 440.0), (69, 442.0), (61, 415.3)])
def test_the_drone_is_in_tune_with_the_a_that_is_asked_for(heard, midi, a_hz):
    hertz = a_hz * 2 ** ((midi - 69) / 12)
    sound, _ = heard(drone=hertz, seconds=3)
    off = cents_off(sound[RATE // 2 : RATE // 2 + 2 * RATE], hertz)
    print(f"drone {hertz:.2f} Hz: {off:+.3f} cents")
    assert abs(off) < 0.5


def cents_off(sound: np.ndarray, hertz: float) -> float:
    """How far the fundamental lies from `hertz`, by the turning of its phase between the two halves."""
    time = np.arange(len(sound)) / RATE
    turned = sound * np.exp(-2j * np.pi * hertz * time) * np.hanning(len(sound))
    half = len(sound) // 2
    window = np.hanning(half)
    first, second = (np.sum(turned[k : k + half] * window) for k in (0, half))
    drift_hz = np.angle(second / first) / (2 * np.pi * half / RATE)
    return float(1200 * np.log2((hertz + drift_hz) / hertz))


def test_low_notes_are_heard_through_a_phones_speaker(heard):
    """Above 300 Hz the lowest C of a cello is no softer than a third of a violin's open A."""

    def above(midi: int) -> float:
        sound, _ = heard(midi=midi, seconds=2)
        spectrum = np.abs(np.fft.rfft(sound[RATE // 2 : RATE + RATE // 2])) ** 2
        return float(np.sqrt(np.sum(spectrum[300:])))

    share = above(36) / above(69)
    print(f"lowest C of a cello above 300 Hz: {share:.2f} of an open A")
    assert share > 1 / 3


def test_notes_follow_the_studios_a(heard):
    sound, _ = heard(midi=69, aHz=442.0, seconds=3)
    assert abs(cents_off(sound[RATE // 2 : RATE // 2 + 2 * RATE], 442.0)) < 0.5


def test_the_clicks_lean_as_the_metre_does(heard):
    def levels(beats: int, **options) -> list[int]:
        _, events = heard(plan=plan(beats, bars=1), seconds=4, options=options)
        return [event["level"] for event in events if event["kind"] == "click"]

    assert levels(4) == [3, 1, 2, 1]
    assert levels(3) == [3, 1, 1]
    assert levels(6) == [3, 1, 1, 2, 1, 1]
    assert levels(2, parts=2) == [3, 0, 1, 0]


def test_another_tempo_moves_everything_alike(heard):
    _, events = heard(plan=plan(bpm=120.0), seconds=9, options={"bpm": 60, "countIn": True})
    clicks = [event["atS"] for event in events if event["kind"] == "click"]
    assert clicks == [float(beat) for beat in range(-4, 8)]


def test_beginning_amid_the_music_and_going_round(heard):
    _, events = heard(plan=plan(bpm=60.0), seconds=14, options={"position": 1, "loop": True})
    notes = [event["atS"] for event in events if event["kind"] == "note"]
    assert notes == [float(beat) for beat in range(4, 14)]


def test_a_ladder_goes_up_by_calm_goes_and_ends_at_the_target(page, transactional_db):
    page.goto("/accounts/login/")
    climbed = page.evaluate(CLIMB)
    assert climbed == [60] * 5 + [75] * 3 + [90] * 3 + [100] * 3
