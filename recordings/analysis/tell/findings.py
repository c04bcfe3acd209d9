"""The few things worth hearing first, from the measurements; ranked by how much a judge would mind.

Only confident evidence is used. The same thing five times is one finding. Strengths come after faults.

Seconds and printed bar labels in, findings out, at most a dozen. Nothing is raised.
"""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.measure.measured import Measured
from recordings.analysis.recording.checks import PROBLEM, Recording
from recordings.analysis.settings import AnalysisSettings
from recordings.analysis.tell import (
    form_findings,
    music_findings,
    note_findings,
    pitch_findings,
    sign_findings,
    tendency_findings,
    unfollowed_findings,
)
from recordings.analysis.tell.finding import SURE, UNSURE, Finding, Heard
from repertoire.notation.score import Form
from repertoire.notation.sentence import Sentence

MOST = 7
LEAST_STRENGTHS = 1  # kept free for what is secure, where there is anything
# of the printed notes, and of the sounding time; another piece with the same notes reaches 0.25 and 0.3
LEAST_SHARE, SURELY_SHARE = 0.12, 0.6
LEAST_EXPLAINED = 0.4
# at any pitch a few notes in a row resemble something; more of the piece has to be there
NEAR_SEMITONES, LEAST_SHARE_TRANSPOSED = 2, 0.5
SLIPS = ("wrong_note", "missing_note", "hesitation", "uneven_run", "restart")
LEAST_NOTES = 4  # by fewer no piece is known, when more are printed


def collect(
    form: Form,
    matched: MatchedForm,
    measured: Measured,
    *,
    settings: AnalysisSettings,
    recording: Recording,
    cuts_played: Collection[int] = (),
    asked: Form | None = None,
) -> tuple[Finding, ...]:
    """At most seven findings. `measured` carries notes, intonation, tempo, rhythm, dynamics, articulation."""
    shift = measured.tuning.transposed_semitones
    if not recognised(matched, measured.share_played, measured.share_explained, transposed_semitones=shift):
        return (_plain("not_recognised", sentences.FIND_NOTHING(), 1000.0),)
    found = [
        *form_findings.whole(
            form, matched, may_be_stopped=settings.may_be_stopped, asked=asked, lost=measured.lost
        ),
        *unfollowed_findings.not_followed(matched, measured.unfollowed, lost=measured.lost),
        *form_findings.cuts_not_made(form, matched, cuts_played),
        *note_findings.wrong_and_missing(form, matched, measured.notes),
        *pitch_findings.pitch(
            form, matched, measured.notes, settings=settings, leaning=measured.intonation.leaning
        ),
        *music_findings.tempo(matched, measured.tempo, settings=settings),
        *music_findings.rhythm(matched, measured.rhythm),
        *music_findings.dynamics(measured.dynamics),
        *music_findings.articulation(measured.articulation),
        *sign_findings.tempo_changes(measured.tempo),
        *sign_findings.figures(measured.rhythm),
        *sign_findings.levels(measured.dynamics),
        *sign_findings.slurs(measured.articulation),
        *_transposed(measured.tuning.transposed_semitones),
        *_recording(recording),
    ]
    strengths = music_findings.strengths(matched, measured, settings=settings)
    if any(f.kind.startswith("intonation") for f in found):
        secure = tendency_findings.secure_bars(form, measured.notes, settings=settings)
        strengths = [*secure, *(f for f in strengths if f.kind != "strength_intonation")]
    ranked = sorted(found, key=lambda f: -f.weight)
    kept = _with_the_tempo(ranked, MOST - min(len(strengths), LEAST_STRENGTHS))
    chosen = [*kept, *strengths[: MOST - len(kept)]]
    reported = [_with_a_place(_worded_unsure(f)) for f in chosen]
    damaged = recording.packet_errors or recording.dropout_count
    return tuple(_doubted(f) for f in reported) if damaged else tuple(reported)


def _with_the_tempo(ranked: list[Finding], most: int) -> list[Finding]:
    """The gravest, and among them how the tempo lies beside the mark: that is always told."""
    kept = ranked[:most]
    beside = [f for f in ranked[most:] if f.kind in ("tempo_slow", "tempo_fast")]
    return [*kept[: most - len(beside)], *beside]


def recognised(
    matched: MatchedForm, share_played: float, share_explained: float, *, transposed_semitones: int
) -> bool:
    """Whether the recording is this piece at all: some of it is there, and most of the sound is it."""
    far = abs(transposed_semitones) > NEAR_SEMITONES
    if not matched.bars or share_played < (LEAST_SHARE_TRANSPOSED if far else LEAST_SHARE):
        return False
    if len(matched.segments) < LEAST_NOTES and share_played < SURELY_SHARE:
        return False
    return share_explained >= LEAST_EXPLAINED or share_played >= SURELY_SHARE


def _worded_unsure(finding: Finding) -> Finding:
    if finding.certainty == SURE or finding.kind == "wrong_note":
        return finding
    return replace(finding, text=sentences.UNSURE(finding=finding.text))


def _with_a_place(finding: Finding) -> Finding:
    """A finding that is heard in one stretch has that as its only place."""
    if finding.places or finding.start_s is None or finding.end_s is None:
        return finding
    only = Heard(finding.bar_list[0] if finding.bar_list else "", finding.start_s, finding.end_s)
    return replace(finding, places=(only,))


def _doubted(finding: Finding) -> Finding:
    """In a damaged file, what sounds like a slip may be the damage."""
    if finding.certainty != SURE or finding.kind not in SLIPS:
        return finding
    return replace(finding, certainty=UNSURE, text=sentences.UNSURE(finding=finding.text))


def _plain(kind: str, text: Sentence, weight: float, **more: Any) -> Finding:
    return Finding(kind, "", (), None, None, None, text, weight, **more)


def _transposed(semitones: int) -> list[Finding]:
    if not semitones:
        return []
    count = abs(semitones)
    code = sentences.FIND_ANOTHER_PITCH if semitones > 0 else sentences.FIND_ANOTHER_PITCH_LOWER
    text = code(count=count)
    # a semitone or so is another pitch standard or a retuned player: worth saying, no great fault
    return [_plain("transposed", text, 30.0 if count == 1 else 80.0, evidence={"semitones": semitones})]


def _recording(recording: Recording) -> list[Finding]:
    bad = [c for c in recording.checks if c.verdict == PROBLEM]
    return [
        _plain("recording", sentences.FIND_RECORDING(what=c.text), 25.0, evidence={"check": c.kind})
        for c in bad[:1]
    ]
