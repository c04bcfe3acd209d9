"""A take and the analysis document of it, made by hand from the shared tune: known cents, known times."""

from django.core.files.base import ContentFile
from django.utils import timezone

from recordings.models import Analysis, Take

BAR_S = 2.5
BEAT_S = BAR_S / 4


def analysis_document(form, *, findings: int = 3, captions=()) -> dict:
    """A document in the contract's words for a form of quarter notes; every third note is 20 cents low."""
    bars = [_bar(form, played) for played in form.bars]
    notes = [_note(form, number, played) for number, played in enumerate(form.notes)]
    return {
        "version": "test",
        "recording": {
            "duration_s": len(bars) * BAR_S + 1,
            "checks": [
                {"kind": "noise", "verdict": "note", "text": "A fan is heard behind the playing."},
            ],
        },
        "form": {
            "text": "1-2, 1-2, 3-4",
            "repeats": "The repeat was played.",
            "share_played": 0.98,
            "complete": True,
            "note_count": len(notes),
            "wrong_count": 1,
            "missing_count": 1,
            "left_out": [],
            "restarts": [],
        },
        "settings": {"marked_bpm": 96.0, "tempo_low_bpm": 90.0, "tempo_high_bpm": 100.0},
        "tuning": {"a4_hz": 441.2},
        "intonation": {
            "judged": True,
            "within_tolerance_share": 0.8,
            "median_abs_cents": 3.5,
            "mean_abs_cents": 9.0,
            "note_count": len(notes),
            "tendencies": [],
        },
        "tempo": {
            "median_bpm": 96.0,
            "metronome_bpm": 96.0,
            "marked_bpm": 96.0,
            "steadiness_percent": 4.0,
            "hesitations": [],
            "bars": [
                {**bar, "bpm": (96.0, 97.0, 95.0, 110.0, 92.0, 80.0)[number % 6], "confidence": 0.9}
                for number, bar in enumerate(bars)
            ],
        },
        "bars": bars,
        "notes": notes,
        "findings": [_finding(number, bars) for number in range(findings)],
        "draft_marks": list(captions),
    }


def _bar(form, played) -> dict:
    measure = form.score.measures[played.measure_index]
    start_s = 0.5 + played.position * BAR_S
    return {
        "position": played.position,
        "measure_id": measure.measure_id,
        "bar": measure.number,
        "pass": played.pass_number,
        "start_s": start_s,
        "end_s": start_s + BAR_S,
    }


def _note(form, number: int, played) -> dict:
    measure = form.score.measures[played.note.measure_index]
    beat = played.note.start_q + 1
    status = {(3, 2): "uncertain", (3, 3): "wrong_pitch", (3, 4): "missing"}.get(
        (played.position, int(beat)), "played"
    )
    onset_s = 0.5 + played.position * BAR_S + played.note.start_q * BEAT_S
    cents = -20.0 if number % 3 == 0 else 3.5
    return {
        "note_id": played.note.note_id,
        "bar": measure.number,
        "beat": beat,
        "pass": played.pass_number,
        "position": played.position,
        "midi": played.note.midi,
        "status": status,
        "heard_midi": played.note.midi + 2 if status == "wrong_pitch" else None,
        "onset_s": None if status == "missing" else onset_s,
        "offset_s": None if status == "missing" else onset_s + 0.5,
        "deviation_cents": None if status in ("missing", "wrong_pitch") else cents,
        "confidence": 0.3 if status == "uncertain" else 0.95,
        "reason": None,
    }


def _finding(number: int, bars: list[dict]) -> dict:
    bar = bars[number % len(bars)]
    return {
        "kind": f"kind{number}",
        "bars": bar["bar"],
        "bar_list": [bar["bar"]],
        "start_s": bar["start_s"],
        "end_s": bar["end_s"],
        "text": f"Bar {bar['bar']}: sentence number {number}.",
        "weight": 1.0 / (number + 1),
        "certainty": "unsure" if number == 1 else "sure",
        "note_count": 3,
        "evidence": {},
        "note_ids": [],
        "strength": False,
    }


def make_take(entry, requirement, *, sound: bytes = b"sound", state: str = "done", **document) -> Take:
    """A stored take with its analysis row in `state`; the document is made for a done one."""
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        sound=ContentFile(sound, name="take"),
        sha256=f"{Take.objects.count():064x}",
        size=len(sound),
        media_type="audio/wav",
    )
    result = None
    if state == Analysis.State.DONE:
        result = analysis_document(requirement.excerpt.form(), **document)
    Analysis.objects.create(
        take=take,
        state=state,
        result=result,
        duration_s=result and result["recording"]["duration_s"],
        failure="It holds no sound." if state == Analysis.State.FAILED else "",
        finished_at=timezone.now(),
    )
    return take
