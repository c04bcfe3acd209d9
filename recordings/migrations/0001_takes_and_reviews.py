"""Takes with their analyses, and what a teacher answers."""

from django.conf import settings
from django.db import migrations, models
from django.db.models import CASCADE, PROTECT, SET_NULL
from django.utils import timezone


def row_id():
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


class Migration(migrations.Migration):
    initial = True

    replaces = [
        ("recordings", "0001_initial"),
        ("recordings", "0002_review_window"),
        ("recordings", "0003_score_hash"),
    ]

    dependencies = [
        ("repertoire", "0001_music_and_marking_forms"),
        ("studio", "0001_people_and_seasons"),
    ]

    operations = [
        migrations.CreateModel(
            name="Take",
            fields=[
                ("id", row_id()),
                ("entry", models.ForeignKey(on_delete=CASCADE, related_name="takes", to="studio.entry")),
                ("requirement", models.ForeignKey(on_delete=PROTECT, related_name="takes", to="studio.requirement")),
                ("uploaded_by", models.ForeignKey(
                    null=True, on_delete=SET_NULL, related_name="uploaded_takes", to=settings.AUTH_USER_MODEL,
                )),
                ("uploaded_at", models.DateTimeField(default=timezone.now)),
                ("sound", models.FileField(upload_to="takes/%Y/%m/")),
                ("sha256", models.CharField(max_length=64)),
                ("size", models.BigIntegerField()),
                ("media_type", models.CharField(max_length=80)),
                ("original_name", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "ordering": ["-uploaded_at", "-pk"],
                "indexes": [models.Index(fields=["entry", "requirement", "-uploaded_at"], name="recordings__entry_i_be19ec_idx")],
                "constraints": [
                    models.UniqueConstraint(fields=("entry", "requirement", "sha256"), name="one_take_per_file_and_requirement"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Analysis",
            fields=[
                ("id", row_id()),
                ("take", models.OneToOneField(on_delete=CASCADE, related_name="analysis", to="recordings.take")),
                ("state", models.CharField(
                    choices=[
                        ("waiting", "waiting to be measured"), ("running", "being measured"),
                        ("done", "measured"), ("failed", "could not be measured"),
                    ],
                    default="waiting", max_length=10,
                )),
                ("attempts", models.PositiveSmallIntegerField(default=0)),
                ("claim", models.CharField(blank=True, max_length=32)),
                ("heartbeat_at", models.DateTimeField(default=timezone.now)),
                ("stage", models.CharField(blank=True, max_length=40)),
                ("progress_percent", models.PositiveSmallIntegerField(default=0)),
                ("created_at", models.DateTimeField(default=timezone.now)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("failure", models.TextField(blank=True)),
                ("score_hash", models.CharField(blank=True, max_length=64)),
                ("version", models.CharField(blank=True, max_length=20)),
                ("result", models.JSONField(blank=True, null=True)),
                ("duration_s", models.FloatField(blank=True, null=True)),
                ("median_bpm", models.FloatField(blank=True, null=True)),
                ("share_played", models.FloatField(blank=True, null=True)),
                ("complete", models.BooleanField(blank=True, null=True)),
                ("a4_hz", models.FloatField(blank=True, null=True)),
            ],
            options={
                "verbose_name_plural": "analyses",
                "indexes": [models.Index(fields=["state", "heartbeat_at"], name="recordings__state_3d1150_idx")],
            },
        ),
        migrations.CreateModel(
            name="Review",
            fields=[
                ("id", row_id()),
                ("take", models.OneToOneField(on_delete=CASCADE, related_name="review", to="recordings.take")),
                ("state", models.CharField(
                    choices=[("draft", "draft"), ("released", "released"), ("withdrawn", "withdrawn")], default="draft",
                    max_length=10,
                )),
                ("reviewer", models.ForeignKey(
                    null=True, on_delete=SET_NULL, related_name="reviews", to=settings.AUTH_USER_MODEL,
                )),
                ("words", models.TextField(blank=True, verbose_name="in your own words")),
                ("edition", models.PositiveIntegerField(default=0)),
                ("window", models.CharField(blank=True, editable=False, max_length=36)),
                ("created_at", models.DateTimeField(default=timezone.now)),
                ("saved_at", models.DateTimeField(blank=True, null=True)),
                ("released_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={"ordering": ["-created_at", "-pk"]},
        ),
        migrations.CreateModel(
            name="Remark",
            fields=[
                ("id", row_id()),
                ("review", models.ForeignKey(on_delete=CASCADE, related_name="remarks", to="recordings.review")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("bars", models.CharField(blank=True, max_length=60)),
                ("start_s", models.FloatField(blank=True, null=True)),
                ("end_s", models.FloatField(blank=True, null=True)),
                ("text", models.TextField()),
                ("kept", models.BooleanField(default=True)),
                ("finding", models.JSONField(blank=True, null=True)),
            ],
            options={"ordering": ["position", "pk"]},
        ),
        migrations.CreateModel(
            name="Mark",
            fields=[
                ("id", row_id()),
                ("review", models.ForeignKey(on_delete=CASCADE, related_name="marks", to="recordings.review")),
                ("caption", models.ForeignKey(on_delete=PROTECT, related_name="marks", to="repertoire.caption")),
                ("value", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("suggested_low", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("suggested_high", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("evidence", models.TextField(blank=True)),
            ],
            options={
                "ordering": ["caption__position", "caption_id"],
                "constraints": [models.UniqueConstraint(fields=("review", "caption"), name="one_mark_per_caption")],
            },
        ),
        migrations.CreateModel(
            name="ReviewEvent",
            fields=[
                ("id", row_id()),
                ("review", models.ForeignKey(on_delete=CASCADE, related_name="events", to="recordings.review")),
                ("kind", models.CharField(
                    choices=[("drafted", "drafted from the measurement"), ("released", "released"), ("withdrawn", "withdrawn")],
                    max_length=10,
                )),
                ("by", models.ForeignKey(null=True, on_delete=SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("at", models.DateTimeField(default=timezone.now)),
                ("snapshot", models.JSONField(default=dict)),
            ],
            options={"ordering": ["at", "pk"]},
        ),
    ]
