from dataclasses import replace

import pytest

from recordings.jobs.request import captions_for, form_options, settings_for
from tests.conftest import tune


def test_form_options(requirement):
    assert form_options(requirement) == {"with_repeats": True, "bars": None}
    requirement.from_bar, requirement.to_bar, requirement.with_repeats = "2", "4", False
    assert form_options(requirement) == {"with_repeats": False, "bars": ["2", "4"]}


def test_settings(requirement):
    settings = settings_for(requirement)
    assert settings.marked_bpm == 96.0
    assert settings.beat_unit_q == 1.0
    assert (settings.tempo_low_bpm, settings.tempo_high_bpm) == (88.0, 104.0)
    assert settings.temperament == "equal"
    assert settings.intonation_judged is True


def test_a_piano_is_not_judged_on_intonation(requirement):
    requirement.excerpt.instrument = "piano"
    assert settings_for(requirement).intonation_judged is False


def test_captions_in_the_forms_order_with_keys_of_their_own(requirement):
    captions = captions_for(requirement)
    assert [caption.name for caption in captions] == ["Tone", "Intonation", "Musicality"]
    assert captions[1].key == "intonation"
    assert captions[0].key != captions[2].key
    assert (captions[0].low, captions[0].high, captions[0].step) == (1.0, 10.0, 1.0)


@pytest.mark.parametrize(("fifths", "mode", "place"), [(1, "major", 1), (0, "minor", 3), (2, "minor", 5)])
def test_just_intonation_is_built_on_the_written_keynote(requirement, monkeypatch, fifths, mode, place):
    score = tune().score
    first = replace(score.measures[0], fifths=fifths, mode=mode)
    changed = replace(score, measures=(first, *score.measures[1:]))
    monkeypatch.setattr(type(requirement.excerpt), "score", property(lambda self: changed))
    assert settings_for(requirement).keynote == place
