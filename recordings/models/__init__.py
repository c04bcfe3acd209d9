from recordings.models.review import Mark, Remark, Review, ReviewEvent
from recordings.models.take import Analysis, Take

__all__ = ["Analysis", "Mark", "Remark", "Review", "ReviewEvent", "Take"]
