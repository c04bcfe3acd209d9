"""Long takes: the score written out is the etude again and again, and a narrow window finds the same path."""

import numpy as np
import pytest

from recordings.analysis.follow import alignment, events
from recordings.analysis.sound import features
from repertoire.notation.order import forms
from repertoire.notation.read import reading
from tests.accuracy.long import material, measuring
from tests.recordings.analysis import made

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def three_rounds(tmp_path_factory):
    return material.make(tmp_path_factory.mktemp("long"), 2.3, long_score=True)


def test_a_written_out_score_has_every_bar_as_often_as_it_is_played(three_rounds):
    form = forms.play(reading.load_canonical(three_rounds.musicxml))
    once, rest = np.array_split([n.note.midi for n in form.notes], 3)[:2]
    assert len(form.notes) == 3 * 147
    assert list(once) == list(rest)
    assert [m.number for m in form.score.measures][:3] == ["1", "2", "3"]
    assert len({n.note.note_id for n in form.notes}) == len(form.notes)


def test_three_rounds_are_heard_whole_within_the_memory(three_rounds):
    figures = measuring.measure(three_rounds)
    assert figures.share_played >= 0.99
    assert figures.peak_mb <= 600


def test_much_more_than_was_asked_stays_within_the_memory(tmp_path):
    """Eight minutes of which the first are the piece: the rest is one long gap to every check."""
    figures = measuring.measure(material.make(tmp_path, 8.0, long_score=False))
    assert figures.peak_mb <= 600


def test_a_window_narrower_than_the_score_finds_the_same_notes(monkeypatch):
    printed = made.score(made.TUNE * 4)
    form = made.form(printed)
    player = made.Player()
    audio = player.render(player.play(printed, printed.order))
    chain = events.build(form)
    detected = features.extract(audio.samples, sample_rate=audio.sample_rate, lowest_midi=62)

    def path():
        found = alignment.align(detected, form, chain, seconds_per_quarter=0.5, tuning_cents=0.0)
        return [(s.event, round(s.start_s, 3), s.wrong_pitch) for s in found.segments]

    whole = path()
    monkeypatch.setattr(alignment, "BAND", len(chain) // 3)
    assert len(whole) == len(chain)
    assert path() == whole
