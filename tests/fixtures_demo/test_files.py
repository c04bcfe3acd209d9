"""The files in fixtures/: all there, small, and the ones the makers would write again."""

import hashlib
import json

import av
import pytest

from fixtures.make_scores import ETUDES, write
from fixtures.make_sounds import make
from fixtures.sounds import takes, truth
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.order.forms import describe, order_of_play, play
from repertoire.notation.read.reading import read_score

FORMS = {
    "violin": "1-8, 1-7, 9-16",
    "cello": "1-20",
    "double_bass": "0-16, 9-16",
    "flute": "1-24",
    "clarinet": "1-10, 1-4, 11-16",
    "horn": "1-16",
}
MOST_BYTES = 6_000_000
LONGEST_S = 48.0
NAMES = [take.name for take in takes.TAKES]


@pytest.mark.parametrize("etude", ETUDES, ids=lambda etude: etude.key)
def test_the_scores_are_what_their_maker_writes(etude):
    assert (truth.SCORES / f"{etude.key}.musicxml").read_text(encoding="utf-8") == write(etude)


@pytest.mark.parametrize("key", FORMS)
def test_an_etude_reads_in_its_form_and_stays_in_range(key):
    canonical = read_score((truth.SCORES / f"{key}.musicxml").read_bytes(), filename=f"{key}.musicxml")
    assert describe(play(canonical.score)) == FORMS[key]
    assert order_of_play(canonical.musicxml).agreed
    instrument = INSTRUMENTS[truth.INSTRUMENT_KEYS.get(key, key)]
    pitches = [note.midi for note in canonical.score.notes]
    assert instrument.sounding_low <= min(pitches)
    assert max(pitches) <= instrument.sounding_high


@pytest.mark.parametrize("name", NAMES)
def test_a_take_lasts_as_long_as_its_truth_says(name):
    path = next(truth.TAKES_FOLDER.glob(f"{name}.*"))
    reported = json.loads((truth.TRUTH_FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    with av.open(str(path)) as container:
        frames = list(container.decode(audio=0))
        detected_s = sum(frame.samples for frame in frames) / frames[0].sample_rate
    assert detected_s == pytest.approx(reported["duration_s"], abs=0.05)
    assert detected_s < LONGEST_S


def test_no_file_belongs_to_nobody_and_all_are_small():
    folder = truth.FIXTURES
    assert {path.stem for path in truth.TAKES_FOLDER.glob("*.*")} == set(NAMES)
    sounds = [path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts]
    assert sum(path.stat().st_size for path in sounds) < MOST_BYTES


def test_making_a_take_again_gives_the_same_truth_and_sound(tmp_path):
    scale = next(take for take in takes.TAKES if take.name == "flute_scale_clean")
    first = hashlib.sha256(make(scale, tmp_path, tmp_path).read_bytes()).hexdigest()
    assert hashlib.sha256(make(scale, tmp_path, tmp_path).read_bytes()).hexdigest() == first
    kept = (truth.TRUTH_FOLDER / "flute_scale_clean.json").read_text(encoding="utf-8")
    assert (tmp_path / "flute_scale_clean.json").read_text(encoding="utf-8") == kept
