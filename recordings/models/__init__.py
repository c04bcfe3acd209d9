from recordings.models.analysis import Analysis
from recordings.models.bundle import Bundle
from recordings.models.correction import Correction
from recordings.models.dispatch import Dispatch
from recordings.models.erasure import Erasure
from recordings.models.kept_cell import KeptCell
from recordings.models.mark import Mark
from recordings.models.own_copy import OwnCopy
from recordings.models.panel import Panel, PanelTake, Seat
from recordings.models.panel_listener import PanelListener, PanelMark, PanelSheet
from recordings.models.phrase import Phrase
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
    "Correction",
    "Dispatch",
    "Erasure",
    "KeptCell",
    "Mark",
    "OwnCopy",
    "Panel",
    "PanelListener",
    "PanelMark",
    "PanelSheet",
    "PanelTake",
    "Phrase",
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
