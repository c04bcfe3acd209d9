"""An analysis document as a page of plain text. Raises `KeyError` for what is no such document."""

from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from repertoire.notation.numerals import clock
from repertoire.wording.words import fill, number_words, short_number, words


def summary(document: dict[str, Any]) -> str:
    """What was heard, in the order a teacher would ask: recording, form, pitch, tempo, findings, marks."""
    lines = [
        *_recording(document["recording"]),
        *_form(document["form"]),
        *_pitch(document["tuning"], document["intonation"]),
        *_tempo(document["tempo"]),
        "",
        *(_finding(f) for f in document["findings"]),
    ]
    marks = [_mark(m) for m in document["draft_marks"]]
    return "\n".join([*lines, "", *marks] if marks else lines)


def _recording(recording: dict[str, Any]) -> list[str]:
    facts = fill(
        _("Recording: {seconds} s, {lufs} LUFS, {snr} dB above the room."),
        seconds=_number(recording["duration_s"], 1),
        lufs=_number(recording["loudness_lufs"], 1),
        snr=_number(recording["snr_db"], 0),
    )
    return [facts, *(f"  {words(c['text'])}" for c in recording["checks"] if c["verdict"] != "fine")]


def _form(form: dict[str, Any]) -> list[str]:
    played = fill(
        _("Bars heard: {bars}. {percent} % of {count} printed notes sounded."),
        bars=form["text"] or "-",
        percent=_number(100 * form["share_played"], 1),
        count=form["note_count"],
    )
    others = fill(
        _("{wrong} with another pitch, {missing} not heard."),
        wrong=form["wrong_count"],
        missing=form["missing_count"],
    )
    return [played, f"  {words(form['repeats'])}", f"  {others}"]


def _pitch(tuning: dict[str, Any], intonation: dict[str, Any]) -> list[str]:
    if tuning["a4_hz"] is None:
        return [_("Too few clear notes to tell the tuning.")]
    text = fill(
        _("Tuning: A = {hz} Hz ({cents} cents from 440)."),
        hz=_number(tuning["a4_hz"], 1),
        cents=f"{tuning['cents_from_440']:+.0f}",
    )
    if intonation["median_abs_cents"] is None:
        return [text]
    within = fill(
        _("Middle deviation {median} cents over {count} notes; {percent} % within tolerance."),
        median=_number(intonation["median_abs_cents"], 1),
        count=intonation["note_count"],
        percent=_number(100 * intonation["within_tolerance_share"], 0),
    )
    return [text, f"  {within}"]


def _tempo(tempo: dict[str, Any]) -> list[str]:
    if tempo["median_bpm"] is None:
        return [_("Too little was heard to tell the tempo.")]
    text = fill(
        _("Tempo: {bpm}, bars steady within {steady} %."),
        bpm=_number(tempo.get("metronome_bpm", tempo["median_bpm"]), 1),
        steady=_number(tempo["steadiness_percent"], 1),
    )
    if tempo.get("overall_bpm"):
        text += " " + fill(
            _("Over the whole, with all its freedom, {bpm}."), bpm=_number(tempo["overall_bpm"], 1)
        )
    if tempo["ratio_to_marked"]:
        text += " " + fill(
            _("The first is {percent} % of the marked {marked}."),
            percent=_number(100 * tempo["ratio_to_marked"], 0),
            marked=_number(tempo["marked_bpm"], 0),
        )
    return [text]


def _finding(finding: dict[str, Any]) -> str:
    if finding["start_s"] is None:
        return f"- {words(finding['text'])}"
    return f"- [{clock(finding['start_s'])}] {words(finding['text'])}"


def _mark(mark: dict[str, Any]) -> str:
    if mark["low"] is None:
        return f"{mark['caption']}: {words(mark['evidence'])}"
    low, high = (short_number(mark[end]) for end in ("low", "high"))
    return fill(_("{caption}: {low} to {high}. {evidence}"), **{**mark, "low": low, "high": high})


def _number(value: float | None, places: int) -> str:
    return "-" if value is None else number_words(Decimal(f"{value:.{places}f}"))
