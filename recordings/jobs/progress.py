"""How far the measuring of a take is, in plain words for the person who waits."""

from django.utils.translation import gettext_lazy as _

from recordings.analysis import stages
from recordings.jobs import turns
from recordings.models import Analysis, Take
from recordings.reviews.hints import hints_for
from studio.access import may_teach, may_upload_for
from studio.models import User

WAITING = _("This take waits its turn")
STARTING = _("Getting ready to listen")
GOING_ON = _("Listening")
STAGE_WORDS = {
    stages.DECODE: _("Opening the recording"),
    stages.CHECKS: _("Listening to the sound of the room"),
    stages.FEATURES: _("Listening from beginning to end"),
    stages.ALIGNMENT: _("Following the music bar by bar"),
    stages.NOTES: _("Listening to each note"),
    stages.MUSIC: _("Feeling the pulse, the rhythm and the dynamics"),
    stages.FINDINGS: _("Writing down what was heard"),
}


def words_for(analysis: Analysis) -> str:
    """What is happening to this take right now."""
    if analysis.state == Analysis.State.WAITING:
        return str(WAITING)
    return str(STAGE_WORDS.get(analysis.stage, GOING_ON) if analysis.stage else STARTING)


def progress_of(take: Take, user: User) -> dict:
    """Template context of the part of the take's page that changes until the measuring has ended."""
    analysis = take.analysis
    waits = analysis.state == Analysis.State.WAITING
    before = turns.before(analysis) if waits else 0
    return {
        "take": take,
        "may_teach": may_teach(user, take.entry.student),
        "before": before,
        "analysis": analysis,
        "ended": analysis.state in (Analysis.State.DONE, Analysis.State.FAILED),
        "hints": hints_for(analysis),
        "failed": analysis.state == Analysis.State.FAILED,
        "stage_words": words_for(analysis),
        "seen": f"{analysis.state}-{analysis.stage}-{analysis.progress_percent}-{before}",
        "again": take.is_to_be_recorded_again,
        "may_upload": may_upload_for(user, take.entry.student),
        "released": hasattr(take, "review") and take.review.is_released,
    }
