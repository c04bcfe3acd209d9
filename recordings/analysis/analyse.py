"""One take and one form in, one `Analysis` out: the stages in their order, and nothing else.

Pure: no file, clock, Django or random number. A silent or foreign take is an analysis like others, whose
findings say so. Only a sample rate too low to follow a score by raises (`ValueError`, `sound.features`).
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from recordings.analysis import sentences, stages  # fmt: skip
from recordings.analysis.corrections import NONE, Corrections
from recordings.analysis.document.contract import Analysis, AnalysisSettings, CaptionSpec, Measured
from recordings.analysis.follow import (
    alignment,
    alternatives,
    corrected,
    events,
    likeness,
    matched,
    unfollowed,
)
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import MISSING, PLAYED, UNCERTAIN, WRONG, NoteResult
from recordings.analysis.follow.segments import Alignment
from recordings.analysis.follow.unfollowed import Unfollowed
from recordings.analysis.measure import (
    accompaniment,
    articulation,
    begun_again,
    confidence,
    dynamics,
    extra_notes,
    intonation,
    notes,
    rhythm,
    tempo,
    tone,
)
from recordings.analysis.recording import checks
from recordings.analysis.recording.decode import SAMPLE_RATE, Audio, SourceInfo
from recordings.analysis.sound import features, tuning
from recordings.analysis.sound.features import Features
from recordings.analysis.tell import draft_marks, findings
from repertoire.notation.score import Form, Measure, Note, PlayedBar, PlayedNote, Score

__all__ = ["AnalysisSettings", "CaptionSpec", "analyse", "warm_up"]

Progress = Callable[[str, float], None]
# share of the whole time that is over when a stage begins; measured on three-minute takes
STAGE_SHARES = {
    stages.CHECKS: 0.08,
    stages.FEATURES: 0.12,
    stages.ALIGNMENT: 0.17,
    stages.NOTES: 0.65,
    stages.MUSIC: 0.88,
    stages.FINDINGS: 0.95,
}


def analyse(
    audio: Audio,
    form: Form,
    settings: AnalysisSettings,
    *,
    captions: tuple[CaptionSpec, ...] = (),
    corrections: Corrections = NONE,
    progress: Progress | None = None,
) -> Analysis:
    """Measure a decoded take against the form asked for, held to what a teacher has corrected.

    `progress` gets the words of each stage as it begins and the share of the whole time, 0 to 1, gone by
    then.
    """

    def stage(name: str) -> None:
        if progress:
            progress(name, STAGE_SHARES[name])

    stage(stages.CHECKS)
    recording = checks.check(audio)
    within = corrected.within(audio.samples, corrections, sample_rate=audio.sample_rate)
    audio = replace(audio, samples=within)
    stage(stages.FEATURES)
    asked, form = form, corrected.form_played(form, corrections)
    chain = events.build(form)
    lowest = min((n.note.midi for n in form.notes), default=60)
    listened = features.extract(audio.samples, sample_rate=audio.sample_rate, lowest_midi=lowest)
    rough = tuning.rough_cents(audio.samples, sample_rate=audio.sample_rate)
    stage(stages.ALIGNMENT)
    pace = _marked_pace(settings)
    path = alignment.align(
        listened, form, chain, seconds_per_quarter=pace, tuning_cents=rough, corrections=corrections
    )
    if not corrections and likeness.by_chance(
        listened, form, chain, path, seconds_per_quarter=pace, tuning_cents=rough
    ):
        path = replace(path, segments=(), shift=0)
    form, chain, path = corrected.told_in(asked, form, chain, path)
    stage(stages.NOTES)
    path, played, found = _measure_notes(audio, listened, form, chain, path, rough, settings, corrections)
    cuts: frozenset[int] = frozenset()
    if form is not asked:
        played, cuts = alternatives.against_requested(asked, form, played)
    others = () if corrections.order else alternatives.forms_to_try(form, played)
    for other, extra, kind in others:
        followed = _follow(audio, listened, other, rough, settings, corrections)
        if alternatives.were_played(other, extra, followed[3]):
            form, (chain, path, played, found) = other, followed
            cuts = extra if kind == alternatives.CUT else cuts
            played = alternatives.repeats_against_requested(asked, played)
            break
    aside = unfollowed.unfollowed([*path.segments, *path.around], path.observations.silent, listened.frame_s)
    measured = _measure_music(
        audio, form, chain, played, found, path, aside, settings, stage, frame_s=listened.frame_s
    )
    recording = replace(recording, checks=(*recording.checks, *_accompaniment(audio, measured, recording)))
    colour = tone.measure(audio.samples, measured.notes, sample_rate=audio.sample_rate, tuning_cents=rough)
    stage(stages.FINDINGS)
    worth_hearing = findings.collect(
        form, played, measured, settings=settings, recording=recording, cuts_played=cuts, asked=asked
    )
    return Analysis(
        settings=settings,
        recording=recording,
        played=played,
        form_text=_form_text(form, played),
        left_out=tuple(form.score.measures[m].number for m in played.left_out_measures),
        measured=measured,
        extra_notes=extra_notes.find(listened, path),
        corrections=corrected.outcomes(corrections, asked, played, found, duration_s=audio.duration_s),
        tone=colour,
        findings=worth_hearing,
        draft_marks=draft_marks.suggest(
            captions, measured, settings=settings, tone=colour, found=worth_hearing
        ),
    )


def _follow(
    audio: Audio, listened: Features, form: Form, rough: float, settings: AnalysisSettings,
    corrections: Corrections,
) -> tuple[tuple[Event, ...], Alignment, MatchedForm, tuple[NoteResult, ...]]:  # fmt: skip
    """(chain, path, heard form, notes) of a take against another form than the one asked for."""
    chain = events.build(form)
    path = alignment.align(
        listened, form, chain, seconds_per_quarter=_marked_pace(settings), tuning_cents=rough,
        corrections=corrections,
    )  # fmt: skip
    return chain, *_measure_notes(audio, listened, form, chain, path, rough, settings, corrections)


def _accompaniment(audio: Audio, measured: Measured, recording: checks.Recording) -> tuple[checks.Check, ...]:
    return accompaniment.listen(
        audio.samples, measured.notes, measured.tuning, sample_rate=audio.sample_rate,
        floor_dbfs=recording.noise_floor_dbfs, flattened=measured.dynamics.perhaps_automatic_gain,
    )  # fmt: skip


def _marked_pace(settings: AnalysisSettings) -> float:
    """Seconds a quarter at the marked tempo; a moderate pace where nothing is marked."""
    bpm = settings.marked_bpm if settings.marked_bpm and settings.marked_bpm > 0 else 90.0
    return 60.0 / bpm / (settings.beat_unit_q or 1.0)


def _measure_notes(
    audio: Audio, listened: Features, form: Form, chain: tuple[Event, ...], path: Alignment, rough: float,
    settings: AnalysisSettings, corrections: Corrections,
) -> tuple[Alignment, MatchedForm, tuple[NoteResult, ...]]:  # fmt: skip
    """(path, heard form, notes); of a take that is not this piece nothing is held to have been heard."""
    for tried in (path, replace(path, segments=(), shift=0)):
        played = matched.read_form(form, chain, tried)
        found = notes.measure(
            audio.samples, listened, form, chain, tried, played,
            tuning_cents=rough, intonation_judged=settings.intonation_judged,
        )  # fmt: skip
        found = corrected.with_right_notes(found, corrections)
        counted = _counted(found)
        explained = _explained(counted, tried, audio.duration_s)
        if findings.recognised(played, _share(counted), explained, transposed_semitones=tried.shift):
            break
    return tried, played, found


def _measure_music(
    audio: Audio, form: Form, chain: tuple[Event, ...], played: MatchedForm, found: tuple[NoteResult, ...],
    path: Alignment, aside: tuple[Unfollowed, ...], settings: AnalysisSettings,
    stage: Callable[[str], None], *, frame_s: float,
) -> Measured:  # fmt: skip
    stage(stages.MUSIC)
    found, pitch_of_take = intonation.apply(
        found,
        temperament=settings.temperament,
        keynote=settings.keynote,
        transposed_semitones=path.shift,
    )
    found = confidence.calibrated(found)
    in_tune = intonation.summarise(
        found,
        intonation_judged=settings.intonation_judged,
        tolerance_cents=settings.tolerance_cents,
        keynote=settings.keynote,
        temperament=settings.temperament,
        open_strings=settings.open_strings,
    )
    pace, points = tempo.measure(
        form, chain, played, found,
        marked_bpm=settings.marked_bpm or None, beat_unit_q=settings.beat_unit_q,
        printed_q_per_minute=settings.printed_q_per_minute,
    )  # fmt: skip
    counted = _counted(found)
    stops = _within_the_music(pace.hesitations, aside)
    pace = replace(pace, hesitations=begun_again.mark_new_starts(stops, found, path, frame_s))
    return Measured(
        notes=found,
        tuning=pitch_of_take,
        intonation=in_tune,
        tempo=pace,
        rhythm=rhythm.measure(form, chain, played, points),
        dynamics=dynamics.measure(audio.samples, form, found, sample_rate=audio.sample_rate),
        articulation=articulation.measure(form, found),
        note_count=len(counted),
        wrong_count=sum(n.status == WRONG for n in counted),
        missing_count=sum(n.status == MISSING for n in counted),
        restart_count=len(played.restarts),
        share_played=_share(counted),
        share_explained=_explained(counted, path, audio.duration_s),
        unfollowed=aside,
        lost=unfollowed.is_lost(form, played, aside),
    )


def _within_the_music(
    stops: tuple[tempo.Hesitation, ...], aside: tuple[unfollowed.Unfollowed, ...]
) -> tuple[tempo.Hesitation, ...]:
    """The stops that are not filled by something else that sounds."""
    return tuple(
        stop for stop in stops if not any(other.start_s - 1.0 < stop.time_s < other.end_s for other in aside)
    )


def _counted(found: tuple[NoteResult, ...]) -> list[NoteResult]:
    return [n for n in found if n.reason != sentences.REASON_GRACE()]


def _share(counted: list[NoteResult]) -> float:
    """Printed notes of the heard form that were sounded, other pitches in their place included."""
    if not counted:
        return 0.0
    return sum(n.status in (PLAYED, WRONG, UNCERTAIN) for n in counted) / len(counted)


def _explained(counted: list[NoteResult], path: Alignment, duration_s: float) -> float:
    """Share of the sounding time spent on notes heard as printed."""
    silent = path.observations.silent
    sounding = duration_s * float(1 - silent.mean()) if silent.size else 0.0
    lengths = {n.began_s: n.ended_s - n.began_s for n in counted if n.status == PLAYED}
    return min(sum(lengths.values()) / sounding, 1.0) if sounding > 0.5 else 0.0


def _form_text(form: Form, played: matched.MatchedForm) -> str:
    """The bars heard, in their order: "1-8, 1-7, 9-24"."""
    pieces: list[list[matched.MatchedBar]] = []
    for bar in played.bars:
        if pieces and bar.measure_index == pieces[-1][-1].measure_index + 1:
            pieces[-1].append(bar)
        else:
            pieces.append([bar])
    return ", ".join(p[0].bar if len(p) == 1 else f"{p[0].bar}-{p[-1].bar}" for p in pieces)


def warm_up() -> None:
    """Compile the inner loops once, so that the first take does not wait for it. Called at worker start."""
    samples = (0.3 * np.sin(2 * np.pi * 440 * np.arange(3 * SAMPLE_RATE) / SAMPLE_RATE)).astype(np.float32)
    source = SourceInfo("", "", SAMPLE_RATE, 1, 3.0, 3.0, 0, 0)
    bars = tuple(PlayedBar(i, i, 1, 4.0 * i) for i in range(2))
    printed = tuple(Note(f"n{i}", i // 4, i % 4, 1.0, 69, "A", 0, 4) for i in range(8))
    measures = tuple(Measure(f"m{i}", i, str(i + 1), 4.0, 4, 4, 0, "") for i in range(2))
    score = Score("", "", 0, measures, printed, (0, 1))
    notes_played = tuple(PlayedNote(n, n.measure_index, 1, float(i), 1.0) for i, n in enumerate(printed))
    form = Form(score, bars, notes_played, 8.0)
    analyse(Audio(samples, SAMPLE_RATE, 3.0, source), form, AnalysisSettings(120.0, 1.0))
