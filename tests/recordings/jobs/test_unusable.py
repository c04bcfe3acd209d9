"""Which measured takes are better recorded again than put before a teacher."""

import pytest

from recordings.jobs.unusable import unusable
from recordings.models import Analysis


def document(*, lufs=-20.0, level="fine", kinds=(), semitones=0, accompaniment="fine") -> dict:
    checks = [{"kind": "level", "verdict": level}, {"kind": "accompaniment", "verdict": accompaniment}]
    return {
        "recording": {"loudness_lufs": lufs, "checks": checks},
        "findings": [{"kind": kind} for kind in kinds],
        "tuning": {"transposed_semitones": semitones},
    }


def test_a_take_with_faults_goes_to_the_teacher():
    assert unusable(document(kinds=("wrong_note", "stopped_early", "recording"), level="problem")) == ""


@pytest.mark.parametrize(
    ("facts", "reason"),
    [
        ({"lufs": None, "level": "problem", "kinds": ("not_recognised",)}, Analysis.Unusable.SILENT),
        ({"kinds": ("not_recognised",)}, Analysis.Unusable.OTHER_MUSIC),
        ({"semitones": -12}, Analysis.Unusable.OTHER_PITCH),
        ({"semitones": 2}, Analysis.Unusable.OTHER_PITCH),
    ],
)
def test_a_take_nobody_can_judge_has_its_reason(facts, reason):
    assert unusable(document(**facts)) == reason


def test_a_retuned_instrument_and_an_accompanied_take_are_heard():
    assert unusable(document(semitones=-1)) == ""
    assert unusable(document(semitones=-12, accompaniment="note")) == ""
