"""Hears of every change to what kept cells are made of, and has them kept, in the same transaction."""

from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Model
from django.db.models.signals import post_delete, post_migrate, post_save, pre_save
from django.dispatch import receiver

from recordings.models import Analysis, KeptCell, Mark, Review, Take, TakeToSend
from recordings.readiness.keeping import keep, keep_of, lay_out, rebuild
from studio.models import Audition, Entry, Requirement
from studio.models.telling import rows_added, rows_changed

# From the row to its entry and requirement.
WAYS: dict[type[Model], tuple[str, str]] = {
    Take: ("entry", "requirement"),
    TakeToSend: ("entry", "requirement"),
    Analysis: ("take__entry", "take__requirement"),
    Review: ("take__entry", "take__requirement"),
    Mark: ("review__take__entry", "review__take__requirement"),
}


@receiver(rows_changed, dispatch_uid="recordings.kept_cells")
def _updated(sender: type[Model], pks: list[int], **_more) -> None:
    if sender in WAYS:
        _keep_of_rows(sender, pks)
    elif sender is Entry:
        lay_out(set(Entry.objects.filter(pk__in=pks).order_by().values_list("audition", flat=True)))
        keep(KeptCell.objects.filter(entry__in=pks))
    elif sender is Requirement:
        _requirements_changed(pks)


@receiver(rows_added, dispatch_uid="recordings.kept_cells")
def _added(sender: type[Model], rows: list, **_more) -> None:
    if sender in (Entry, Requirement):
        lay_out({row.audition_id for row in rows})
    elif sender in WAYS:
        _keep_of_rows(sender, [row.pk for row in rows])


@receiver(post_save, sender=Take, dispatch_uid="recordings.kept_cells.take")
@receiver(post_save, sender=TakeToSend, dispatch_uid="recordings.kept_cells.choice")
@receiver(post_save, sender=Analysis, dispatch_uid="recordings.kept_cells.analysis")
@receiver(post_save, sender=Review, dispatch_uid="recordings.kept_cells.review")
@receiver(post_save, sender=Mark, dispatch_uid="recordings.kept_cells.mark")
def _saved(sender: type[Model], instance: Model, created: bool, **_more) -> None:
    if not (created and _says_nothing(instance)):
        _keep_of_rows(sender, [instance.pk])


def _says_nothing(row: Model) -> bool:
    """A new analysis that waits and a new draft are as good as none."""
    waits = isinstance(row, Analysis) and row.state == Analysis.State.WAITING and not row.unusable
    return waits or (isinstance(row, Review) and row.state == Review.State.DRAFT)


@receiver(post_delete, sender=Take, dispatch_uid="recordings.kept_cells.take_gone")
@receiver(post_delete, sender=TakeToSend, dispatch_uid="recordings.kept_cells.choice_gone")
def _gone(sender: type[Model], instance: Take | TakeToSend, origin, **_more) -> None:
    """Of what goes along with its entry, the kept cells go too."""
    if _began_with(origin) in (Take, TakeToSend):
        keep_of([(instance.entry_id, instance.requirement_id)])


@receiver(post_delete, sender=Analysis, dispatch_uid="recordings.kept_cells.analysis_gone")
@receiver(post_delete, sender=Review, dispatch_uid="recordings.kept_cells.review_gone")
def _part_gone(sender: type[Model], instance: Analysis | Review, origin, **_more) -> None:
    """What goes along with its take is seen when the take goes."""
    if _began_with(origin) is sender:
        _keep_of_rows(Take, [instance.take_id])


def _began_with(origin) -> type[Model] | None:
    """The kind of rows whose deletion this is part of."""
    return type(origin) if isinstance(origin, Model) else getattr(origin, "model", None)


@receiver(post_save, sender=Entry, dispatch_uid="recordings.kept_cells.entry")
def _entered(instance: Entry, **_more) -> None:
    lay_out([instance.audition_id])


@receiver(post_save, sender=Requirement, dispatch_uid="recordings.kept_cells.requirement")
def _asked(instance: Requirement, created: bool, **_more) -> None:
    if created:
        lay_out([instance.audition_id])
    else:
        _requirements_changed([instance.pk])


@receiver(pre_save, sender=Audition, dispatch_uid="recordings.kept_cells.closing")
def _closing_changes(instance: Audition, **_more) -> None:
    """Of takes, only those between the old and the new closing time are judged otherwise."""
    before = Audition.objects.filter(pk=instance.pk).values_list("closes_at", flat=True).first()
    vars(instance)["_closed_before"] = before or instance.closes_at


@receiver(post_save, sender=Audition, dispatch_uid="recordings.kept_cells.closed")
def _closing_changed(instance: Audition, **_more) -> None:
    early, late = sorted((vars(instance)["_closed_before"], instance.closes_at))
    if early != late:
        between = Take.objects.filter(
            entry__audition=instance, uploaded_at__gt=early, uploaded_at__lte=late
        ).order_by()
        keep_of(between.values_list("entry", "requirement"))


@receiver(post_migrate, dispatch_uid="recordings.kept_cells.fill")
def _fill(sender, plan=(), **_more) -> None:
    """A database of a time before kept cells gets them with its migrations, once all of them are through."""
    went_forward = any(not backward for _step, backward in plan)
    is_ours = sender.name == "recordings" and went_forward
    if is_ours and not _migrations_left() and not KeptCell.objects.exists():
        rebuild()


def _migrations_left() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _keep_of_rows(model: type[Model], pks: list[int]) -> None:
    rows = model._default_manager.filter(pk__in=pks)
    if model is Mark:
        rows = rows.filter(review__state=Review.State.RELEASED)
    keep_of(rows.order_by().values_list(*WAYS[model]))


def _requirements_changed(pks: list[int]) -> None:
    auditions = Requirement.objects.filter(pk__in=pks).order_by().values_list("audition", flat=True)
    # An entry of an audition it was moved from has lost it.
    before = KeptCell.objects.filter(requirement__in=pks).order_by().values_list("entry__audition", flat=True)
    lay_out({*auditions, *before})
    keep(KeptCell.objects.filter(requirement__in=pks))
