"""The stages of an analysis in plain words, for the person who waits."""

from django.utils.translation import gettext_lazy as _

from recordings.analysis import sentences
from recordings.models import Analysis

WAITING = _("This take waits its turn")
STARTING = _("Getting ready to listen")
GOING_ON = _("Listening")
STAGE_WORDS = {
    sentences.STAGE_DECODE: _("Opening the recording"),
    sentences.STAGE_CHECKS: _("Listening to the sound of the room"),
    sentences.STAGE_FEATURES: _("Listening from beginning to end"),
    sentences.STAGE_ALIGNMENT: _("Following the music bar by bar"),
    sentences.STAGE_NOTES: _("Listening to each note"),
    sentences.STAGE_MUSIC: _("Feeling the pulse, the rhythm and the dynamics"),
    sentences.STAGE_FINDINGS: _("Writing down what was heard"),
}


def words_for(analysis: Analysis) -> str:
    """What is happening to this take right now."""
    if analysis.state == Analysis.State.WAITING:
        return str(WAITING)
    return str(STAGE_WORDS.get(analysis.stage, GOING_ON) if analysis.stage else STARTING)
