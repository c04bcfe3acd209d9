"""What "Hear it" plays: every place of a finding by itself, or the bars a teacher moved the remark to."""

from recordings.models import Remark

FINDING = {
    "start_s": 3.12345, "end_s": 60.98765,
    "places": [{"bar": "2", "start_s": 3.1, "end_s": 4.2, "note_ids": []},
               {"bar": "9", "start_s": 59.0, "end_s": 61.0, "note_ids": []}],
}  # fmt: skip


def test_each_place_of_a_finding_is_heard_by_itself():
    assert Remark(finding=FINDING, start_s=3.123, end_s=60.988).spans == [[3.1, 4.2], [59.0, 61.0]]


def test_a_remark_moved_to_other_bars_is_heard_there():
    assert Remark(finding=FINDING, start_s=20.0, end_s=22.5).spans == [[20.0, 22.5]]


def test_a_remark_of_ones_own_and_an_older_finding_are_heard_in_one():
    assert Remark(start_s=1.0, end_s=2.0).spans == [[1.0, 2.0]]
    assert Remark(start_s=1.0).spans == [[1.0, 1.0]]
    assert Remark(finding={"start_s": 1.0, "end_s": 9.0}, start_s=1.0, end_s=9.0).spans == [[1.0, 9.0]]
    assert Remark().spans == []
