"""What is kept of the takes of one requirement of one entry, so that no list has to load them.

A row for every requirement an entry carries, with or without takes. Nothing in it is true by itself: each
row can be made again from takes, analyses, answers and choices (`manage.py rebuild_readiness`), and is, in
the transaction that changes one of these (`recordings.readiness.keeping`).
"""

from django.db import models

from recordings.models.take import Take
from studio.models import Entry, Requirement


def kept_take(related_name: str = "+") -> models.ForeignKey:
    """A take the database does not hold: who removes it makes the row anew.

    Held, whoever removes a take and whoever makes its cell anew would each wait for the other's row.
    """
    return models.ForeignKey(
        Take, null=True, on_delete=models.DO_NOTHING, db_constraint=False, related_name=related_name
    )


class KeptCell(models.Model):
    # States of analysis and answer, as far as they make a difference; anything else is empty.
    MEASURED = ("done", "failed")
    RELEASED, WITHDRAWN = "released", "withdrawn"

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="kept_cells")
    requirement = models.ForeignKey(Requirement, on_delete=models.CASCADE, related_name="kept_cells")
    take_count = models.PositiveIntegerField(default=0)
    # When anything was last handed in, also what cannot be judged.
    last_at = models.DateTimeField(null=True)
    # The last take that counts; where none does, the last of all.
    latest = kept_take(related_name="latest_of")
    # The last take with a released answer.
    answered = kept_take()
    # The take to be sent: a person's choice, else the answered one nearest to ready.
    to_send = kept_take()
    is_chosen = models.BooleanField(default=False)
    # Of the last take that counts; empty where none does.
    latest_at = models.DateTimeField(null=True)
    latest_measured = models.CharField(max_length=10, blank=True)
    latest_answer = models.CharField(max_length=10, blank=True)
    latest_complete = models.BooleanField(null=True)
    latest_bpm = models.FloatField(null=True)
    # Every mark stands at this share of its caption's top, or above; empty where one is missing.
    latest_percent = models.SmallIntegerField(null=True)
    # Of the take to be sent.
    sent_at = models.DateTimeField(null=True)
    sent_is_answered = models.BooleanField(default=False)
    sent_complete = models.BooleanField(null=True)
    sent_bpm = models.FloatField(null=True)
    sent_percent = models.SmallIntegerField(null=True)
    # The last three takes that count: each faster, with fewer notes right.
    chases_tempo = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["entry", "requirement"], name="one_kept_cell_per_requirement")
        ]

    def __str__(self) -> str:
        return f"kept cell {self.pk}"
