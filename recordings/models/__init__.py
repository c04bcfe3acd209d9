from recordings.models.analysis import Analysis
from recordings.models.bundle import Bundle
from recordings.models.dispatch import Dispatch
from recordings.models.mark import Mark
from recordings.models.panel import Panel, PanelTake, Seat
from recordings.models.panel_listener import PanelListener, PanelMark, PanelSheet
from recordings.models.remark import Remark
from recordings.models.review import Review
from recordings.models.review_event import ReviewEvent
from recordings.models.sight_reading import SightReading
from recordings.models.statement import Statement
from recordings.models.take import Take
from recordings.models.take_to_send import TakeToSend
from recordings.models.upload import Upload, UploadPart

__all__ = [
    "Analysis",
    "Bundle",
    "Dispatch",
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
    "SightReading",
    "Statement",
    "Take",
    "TakeToSend",
    "Upload",
    "UploadPart",
]
