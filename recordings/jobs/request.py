"""What a requirement asks of a take, in the words of the pure analysis."""

from urllib.parse import urlencode

from recordings.models import Correction
from repertoire.models import Caption, Excerpt
from repertoire.notation.keynote import keynote
from repertoire.notation.order.order_line import parse_order
from repertoire.notation.score import BadScore, Score
from studio.models import Requirement


def form_options(requirement: Requirement) -> dict:
    """Options of `repertoire.notation.order.forms.play`, as plain JSON values."""
    if requirement.order_line:
        return {"order": list(requirement.order)}
    bars = requirement.bars
    return {"with_repeats": requirement.with_repeats, "bars": list(bars) if bars else None}


def drawing_query(requirement: Requirement) -> str:
    """What follows in the address of the engraved music: only the bars from the first to the last asked.

    What is printed between them and not asked stands back.
    """
    if requirement.order_line:
        return "&" + urlencode({"form": requirement.order_line})
    bars = requirement.bars
    return "&" + urlencode({"from": bars[0], "to": bars[1]}) if bars else ""


def play_query(requirement: Requirement, *, bpm: float | None = None) -> str:
    """What follows in the address of the music's page: it plays what is asked, at its tempo or at `bpm`."""
    asked = {"bpm": f"{bpm or requirement.marked_bpm:g}", "form": requirement.order_line}
    if not requirement.order_line:
        first, last = requirement.bars or ("", "")
        asked |= {"from": first, "to": last, "repeats": "" if requirement.with_repeats else "0"}
    return urlencode({name: value for name, value in asked.items() if value})


def settings_for(requirement: Requirement):
    from recordings.analysis.analyse import AnalysisSettings

    excerpt = requirement.excerpt
    return AnalysisSettings(
        marked_bpm=float(requirement.marked_bpm),
        beat_unit_q=requirement.beat_unit_q,
        tempo_low_bpm=float(requirement.low_bpm),
        tempo_high_bpm=float(requirement.high_bpm),
        temperament=excerpt.temperament,
        keynote=keynote(excerpt.score),
        intonation_judged=excerpt.instrument_facts.intonation_judged,
        may_be_stopped=requirement.may_be_stopped,
        open_strings=excerpt.instrument_facts.strings,
        printed_q_per_minute=float(excerpt.marked_bpm) * excerpt.beat_unit_q,
    )


def captions_for(requirement: Requirement) -> tuple:
    """One specification a caption, in the form's order; what cannot be measured has a key of its own."""
    from recordings.analysis.analyse import CaptionSpec

    return tuple(
        CaptionSpec(
            key=caption_key(caption),
            name=caption.name,
            low=float(caption.low),
            high=float(caption.high),
            step=float(caption.step),
        )
        for caption in requirement.rubric.captions.all()
    )


def caption_key(caption: Caption) -> str:
    return caption.measured or f"ear-{caption.pk}"


def corrections_of(correction: Correction | None, excerpt: Excerpt):
    """What a teacher said, in the analysis' words, for the music that is asked now.

    Where the music was changed since, bars are found by their printed labels and notes by nothing.
    """
    from recordings.analysis.corrections import NONE, BarLine, Corrections, RightNote

    if correction is None or correction.is_empty:
        return NONE
    same, score = correction.score_hash == excerpt.content_hash, excerpt.score
    lines = [
        BarLine(bar_id(line, score, same_music=same), line["pass"], line["time_s"])
        for line in correction.bar_lines
    ]
    notes = [RightNote(note["note_id"] if same else "", note["pass"]) for note in correction.right_notes]
    return Corrections(
        correction.begins_s,
        correction.ends_s,
        _order(correction.order_line, score),
        tuple(line for line in lines if line.measure_id),
        tuple(note for note in notes if note.note_id),
    )


def bar_id(line: dict, score: Score, *, same_music: bool) -> str:
    """The bar meant by a corrected bar line; "" where this music has none, or several, of that label."""
    if same_music:
        return line["measure_id"]
    named = [measure.measure_id for measure in score.measures if measure.number == line["bar"]]
    return named[0] if len(named) == 1 else ""


def _order(line: str, score: Score) -> tuple[int, ...]:
    try:
        return parse_order(score, line) if line else ()
    except BadScore:  # the music lost a bar since: the follower finds out by itself, and the page says so
        return ()
