from studio.models.agreed_keeping import AgreedKeeping
from studio.models.audition import Audition
from studio.models.blocked_content import BlockedContent
from studio.models.calendar_feed import CalendarFeed
from studio.models.clinic import Clinic
from studio.models.clinic_acceptance import ClinicAcceptance
from studio.models.consent import Consent
from studio.models.deletion_request import DeletionRequest
from studio.models.entry import Entry
from studio.models.event import Event
from studio.models.guardianship import Guardianship
from studio.models.handover import Handover
from studio.models.invitation import Invitation
from studio.models.notice import Notice
from studio.models.outgoing_mail import OutgoingMail
from studio.models.question import Question, students_playing
from studio.models.requirement import Requirement
from studio.models.role import Role, RoleGrant
from studio.models.season import Season
from studio.models.sending_rules import SendingRules
from studio.models.student import Student
from studio.models.studio import Studio
from studio.models.tries import Tries
from studio.models.user import User

__all__ = [
    "AgreedKeeping",
    "Audition",
    "BlockedContent",
    "CalendarFeed",
    "Clinic",
    "ClinicAcceptance",
    "Consent",
    "DeletionRequest",
    "Entry",
    "Event",
    "Guardianship",
    "Handover",
    "Invitation",
    "Notice",
    "OutgoingMail",
    "Question",
    "Requirement",
    "Role",
    "RoleGrant",
    "Season",
    "SendingRules",
    "Student",
    "Studio",
    "Tries",
    "User",
    "students_playing",
]
