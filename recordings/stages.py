"""The stages of an analysis in plain words, for the person who waits."""

from django.utils.translation import gettext_lazy as _

from recordings.models import Analysis

WAITING = _("Your take waits its turn")
STARTING = _("Getting ready to listen")
STAGE_WORDS = {
    "decode": _("Opening the recording"),
    "checks": _("Listening to the sound of the room"),
    "alignment": _("Following the music bar by bar"),
    "notes": _("Listening to each note"),
    "tuning": _("Finding your A"),
    "intonation": _("Listening to the intonation"),
    "tempo": _("Feeling the pulse"),
    "rhythm": _("Listening to the rhythm"),
    "findings": _("Writing down what was heard"),
    "marks": _("Writing down what was heard"),
}


def words_for(analysis: Analysis) -> str:
    """What is happening to this take right now."""
    if analysis.state == Analysis.State.WAITING:
        return str(WAITING)
    return str(STAGE_WORDS.get(analysis.stage, STARTING if not analysis.stage else _("Measuring")))
