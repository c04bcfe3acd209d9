"""Readiness told the long way: from all takes of a cell as they are stored, without any kept fact."""

from recordings.models import Take, TakeToSend
from recordings.readiness.rules import CellFacts, MarkFacts, SentFacts, State, state_of
from studio.models import Entry, Requirement, Studio


def scanned_state(entry: Entry, requirement: Requirement, *, at) -> State:
    takes = list(Take.objects.filter(entry=entry, requirement=requirement).order_by("-uploaded_at", "-pk"))
    judged = [take for take in takes if not take.is_to_be_recorded_again]
    asked = {
        "at": at,
        "due_at": entry.due_at(requirement),
        "closes_at": entry.closes_at,
        "low_bpm": requirement.low_bpm,
        "high_bpm": requirement.high_bpm,
        "ready_percent": Studio.current().ready_percent,
    }
    if not judged:
        today = entry.was_made_on(at.astimezone().date())
        return state_of(CellFacts(**asked, record_again=bool(takes), entered_today=today))
    chosen = TakeToSend.objects.filter(entry=entry, requirement=requirement, take__in=judged).first()
    latest = CellFacts(**asked, **_facts(judged[0]), take_uploaded_at=judged[0].uploaded_at)
    if chosen:
        return state_of(_with(latest, chosen.take, chosen=True))
    states = [state_of(latest)]
    states += [state_of(_with(latest, take, chosen=False)) for take in judged if answered(take)]
    return State.READY if State.READY in states else states[0]


def _with(latest: CellFacts, take: Take, *, chosen: bool) -> CellFacts:
    found = _facts(take)
    found.pop("analysis_state"), found.pop("review_state")
    sent = SentFacts(take.uploaded_at, chosen=chosen, answered=answered(take), **found)
    return CellFacts(
        **{name: getattr(latest, name) for name in latest.__slots__ if name != "to_send"}, to_send=sent
    )


def answered(take: Take) -> bool:
    return hasattr(take, "review") and take.review.is_released


def _facts(take: Take) -> dict:
    analysis, review = getattr(take, "analysis", None), getattr(take, "review", None)
    marks = review.marks.select_related("caption") if review else ()
    return {
        "analysis_state": analysis.state if analysis else None,
        "complete": analysis.complete if analysis else None,
        "metronome_bpm": analysis.metronome_bpm if analysis else None,
        "review_state": review.state if review else None,
        "marks": tuple(MarkFacts(mark.caption.name, mark.value, mark.caption.high) for mark in marks),
    }
