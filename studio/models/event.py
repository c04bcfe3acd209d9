"""The record of events: who did what to what, in numbers and kinds, and nothing of what it held.

Rows are added and never changed; they go only once they are too old. The database's own triggers hold that
too. No foreign keys: a row outlives what it is about.
"""

from datetime import timedelta

from django.db import models
from django.db.models.functions import Now
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from studio.models.database_clock import from_now

# A choice; the triggers of the migration name the same figure.
KEPT_FOR = timedelta(days=730)


class Unchangeable(Exception):
    """The record of events is only added to."""


# What an event can be about, by its word in the code, as it is read.
THINGS = {
    "user": pgettext_lazy("event", "account"),
    "student": pgettext_lazy("event", "student"),
    "invitation": pgettext_lazy("event", "invitation"),
    "take": pgettext_lazy("event", "take"),
    "entry": pgettext_lazy("event", "entry"),
    "panel": pgettext_lazy("event", "panel"),
    "audition": pgettext_lazy("event", "audition"),
    "season": pgettext_lazy("event", "season"),
    "studio": pgettext_lazy("event", "studio"),
}


class EventQuerySet(models.QuerySet["Event"]):
    def update(self, **_fields):
        raise Unchangeable

    def delete(self):
        raise Unchangeable

    def forget_old(self) -> int:
        return self.filter(at__lt=from_now(-KEPT_FOR))._raw_delete(self.db)


class Event(models.Model):
    class Kind(models.TextChoices):
        SIGNED_IN = "signed in", _("signed in")
        SIGN_IN_FAILED = "sign-in failed", _("sign-in failed")
        ROLE_GIVEN = "role given", _("role given")
        ROLE_ENDED = "role ended", _("role ended")
        ACCOUNT_CLOSED = "account closed", _("account closed")
        ACCOUNT_OPENED = "account opened", _("account opened again")
        GUARDIANSHIP_ENDED = "guardian ended", _("guardian's access ended")
        INVITED = "invited", _("invited")
        INVITATION_USED = "invitation used", _("invitation accepted")
        INVITATION_WITHDRAWN = "invitation withdrawn", _("invitation withdrawn")
        CONSENT_GIVEN = "consent given", _("agreement given")
        CONSENT_WITHDRAWN = "consent withdrawn", _("agreement withdrawn")
        RELEASED = "released", _("answer released")
        CORRECTED = "corrected", _("measurement corrected")
        HANDED_OVER = "handed over", _("students handed over")
        HANDOVER_ENDED = "handover ended", _("handing over ended")
        TAKEN_BACK = "taken back", _("answer taken back")
        TAKE_DELETED = "take deleted", _("take deleted")
        EXPORTED = "exported", _("exported")
        SENT = "sent", _("marked as sent")
        NOT_SENT = "not sent", _("mark of sending taken back")
        MORE_TIME = "more time", _("more time given")
        NO_MORE_TIME = "no more time", _("more time taken back")
        PANEL_CLOSED = "panel closed", _("panel closed")
        SETTINGS = "settings", _("settings saved")
        FACTOR_ENDED = "factor ended", _("second factor switched off")
        DELETION_ASKED = "deletion asked", _("deletion asked for")
        DELETION_CLOSED = "deletion closed", _("wish for deletion taken back or declined")
        ERASED = "erased", _("everything of a student deleted")

    at = models.DateTimeField(db_default=Now(), db_index=True, editable=False)
    kind = models.CharField(max_length=24, choices=Kind.choices)
    # Of the account that did it; empty where nobody was signed in, or the studio did it by itself.
    by_number = models.BigIntegerField(null=True, db_index=True)
    # The kind of thing by its word in the code ("take"), and its number; empty where there is none.
    about = models.CharField(max_length=24, blank=True)
    about_number = models.BigIntegerField(null=True)

    objects = EventQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"event {self.pk}"

    def save(self, *args, **how) -> None:
        if self.pk is not None:
            raise Unchangeable
        super().save(*args, **how)

    def delete(self, *_args, **_how):
        raise Unchangeable

    @property
    def thing(self) -> str:
        return str(THINGS.get(self.about, self.about))
