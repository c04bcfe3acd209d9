"""The floor of accuracy on demo takes, whose every onset and cent is known (synthesised sound).

The limits are the studio's promise for clean takes: intonation within 5 cents (median error), 85 % of onsets
within 50 ms, median tempo within 2 %, stops and omitted repeats named by bar.
"""

import pytest

from tests.accuracy.demo.measured import measure_demo, wanted

pytestmark = pytest.mark.slow

CENTS_MEDIAN, ONSETS_PERCENT, TEMPO_PERCENT, TUNING_CENTS = 5.0, 85.0, 2.0, 4.0
CLEAN = (
    "violin_clean",
    "cello_clean",
    "double_bass_clean",
    "flute_clean",
    "clarinet_clean_at_443",
    "horn_clean",
)
FORMS = (
    "violin_skipped_repeat",
    "violin_restart",
    "cello_early_stop",
    "double_bass_skipped_repeat",
    "clarinet_no_da_capo",
)
FLAWS = ("violin_flat_leading_notes", "flute_slow_but_clean", "cello_hesitations", "horn_clipping")


def outcome(name):
    [take] = wanted([name])
    return measure_demo(take)


@pytest.mark.parametrize("name", CLEAN)
def test_a_clean_take_is_measured_within_the_floor(name):
    measured = outcome(name)
    assert measured.cents_median <= CENTS_MEDIAN
    assert measured.onsets_percent >= ONSETS_PERCENT
    assert measured.tempo_percent <= TEMPO_PERCENT
    assert measured.tuning_cents <= TUNING_CENTS
    assert measured.form_right


@pytest.mark.parametrize("name", FORMS)
def test_stops_restarts_and_omitted_repeats_are_named_by_bar(name):
    measured = outcome(name)
    assert measured.form_right
    assert measured.flaw_found


@pytest.mark.parametrize("name", FLAWS)
def test_a_plain_flaw_is_told(name):
    assert outcome(name).flaw_found


def test_an_unknown_take_is_refused():
    with pytest.raises(LookupError, match="no demo take named kazoo"):
        wanted(["kazoo"])
