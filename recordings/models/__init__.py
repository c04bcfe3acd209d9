from recordings.models.analysis import Analysis
from recordings.models.mark import Mark
from recordings.models.panel import Panel, PanelTake, Seat
from recordings.models.panel_listener import PanelListener, PanelMark, PanelSheet
from recordings.models.remark import Remark
from recordings.models.review import Review
from recordings.models.review_event import ReviewEvent
from recordings.models.take import Take

__all__ = [
    "Analysis",
    "Mark",
    "Panel",
    "PanelListener",
    "PanelMark",
    "PanelSheet",
    "PanelTake",
    "Remark",
    "Review",
    "ReviewEvent",
    "Seat",
    "Take",
]
