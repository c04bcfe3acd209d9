"""Who listens in a panel, and what a listener writes about each take."""

from decimal import Decimal

from django.conf import settings
from django.db import models

from recordings.models.panel import Panel, PanelTake
from repertoire.models import Caption, Total
from studio.models import Invitation


class PanelListener(models.Model):
    """A teacher of the studio, or a guest who was invited for this panel alone."""

    panel = models.ForeignKey(Panel, on_delete=models.CASCADE, related_name="listeners")
    # Empty until a guest has taken the invitation up.
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="panel_seats"
    )
    invitation = models.ForeignKey(
        Invitation, null=True, on_delete=models.SET_NULL, related_name="panel_listeners"
    )
    invited_name = models.CharField(max_length=120, blank=True)
    hears_own = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["panel", "user"], name="one_listener_per_panel")]

    def __str__(self) -> str:
        return f"listener {self.pk}"

    @property
    def name(self) -> str:
        return self.user.name if self.user else self.invited_name

    @property
    def is_guest(self) -> bool:
        return bool(self.invited_name)


class PanelSheetQuerySet(models.QuerySet["PanelSheet"]):
    def hearable(self) -> "PanelSheetQuerySet":
        return self.filter(panel_take__in=PanelTake.objects.hearable())

    def with_marks(self) -> "PanelSheetQuerySet":
        return self.select_related("panel_take__take__requirement__excerpt").prefetch_related("marks")


class PanelSheet(models.Model):
    """One listener's marks and remark on one take, in the listener's own order of hearing."""

    listener = models.ForeignKey(PanelListener, on_delete=models.CASCADE, related_name="sheets")
    panel_take = models.ForeignKey(PanelTake, on_delete=models.CASCADE, related_name="sheets")
    position = models.PositiveSmallIntegerField()
    remark = models.TextField(blank=True)
    saved_at = models.DateTimeField(null=True)

    objects = PanelSheetQuerySet.as_manager()

    class Meta:
        ordering = ["listener", "position"]
        constraints = [models.UniqueConstraint(fields=["listener", "panel_take"], name="one_sheet_per_take")]

    def __str__(self) -> str:
        return f"sheet {self.pk}"

    @property
    def values(self) -> dict[int, Decimal]:
        """Marks by caption id."""
        return {mark.caption_id: mark.value for mark in self.marks.all()}

    def total_on(self, panel: Panel) -> Total | None:
        """The weighted total; None while a mark is missing."""
        return panel.rubric.total(dict(self.values))


class PanelMark(models.Model):
    sheet = models.ForeignKey(PanelSheet, on_delete=models.CASCADE, related_name="marks")
    caption = models.ForeignKey(Caption, on_delete=models.PROTECT, related_name="panel_marks")
    value = models.DecimalField(max_digits=5, decimal_places=1)

    class Meta:
        ordering = ["caption__position", "caption_id"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "caption"], name="one_panel_mark_per_caption")
        ]

    def __str__(self) -> str:
        return f"panel mark {self.pk}"
