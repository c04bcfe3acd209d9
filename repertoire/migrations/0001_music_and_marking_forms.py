"""Music, what stands beside it, and the forms judges mark on, with the first of these.

Who wrote what is added by the first migration of the room of people, which comes after this one.
"""

import tomllib
from decimal import Decimal
from pathlib import Path

from django.core.validators import MinValueValidator
from django.db import migrations, models
from django.db.models import CASCADE, SET_NULL
from django.utils import timezone

FORMS = Path(__file__).with_name("first_marking_forms.toml")


def add_forms(apps, schema_editor) -> None:
    """Lay the forms whose name is not taken; going back leaves them to the tables they stand in."""
    rubrics = apps.get_model("repertoire", "Rubric").objects
    captions = apps.get_model("repertoire", "Caption").objects
    for form in tomllib.loads(FORMS.read_text(encoding="utf-8"))["forms"]:
        if rubrics.filter(name=form["name"]).exists():
            continue
        rubric = rubrics.create(name=form["name"], serves=form["serves"], notes=form["notes"])
        for position, caption in enumerate(form["captions"], 1):
            captions.create(rubric=rubric, position=position, **caption)


def row_id():
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


class Migration(migrations.Migration):
    initial = True

    replaces = [
        ("repertoire", "0001_initial"),
        ("repertoire", "0002_same_music_once"),
        ("repertoire", "0003_first_marking_forms"),
        ("repertoire", "0004_bar_notes"),
        ("repertoire", "0005_earlier_scores"),
        ("repertoire", "0006_fingering_of_an_excerpt"),
        ("repertoire", "0007_printed_pages"),
        ("repertoire", "0008_rubric_versions"),
        ("repertoire", "0009_order_of_play_read_anew"),
    ]

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Excerpt",
            fields=[
                ("id", row_id()),
                ("title", models.CharField(max_length=160, verbose_name="title")),
                ("composer", models.CharField(blank=True, max_length=120, verbose_name="composer")),
                ("source", models.CharField(blank=True, max_length=200, verbose_name="source")),
                ("instrument", models.CharField(max_length=30, verbose_name="instrument")),
                ("kind", models.CharField(
                    choices=[("etude", "Etude or passage"), ("scale", "Scale sheet")], default="etude", max_length=10,
                )),
                ("musicxml", models.TextField()),
                ("content_hash", models.CharField(editable=False, max_length=64)),
                ("scale_spec", models.JSONField(blank=True, null=True)),
                ("marked_bpm", models.DecimalField(
                    decimal_places=1, max_digits=5, validators=[MinValueValidator(10)], verbose_name="marked tempo",
                )),
                ("beat_unit", models.CharField(
                    choices=[
                        ("2.0", "half note"), ("1.5", "dotted quarter note"), ("1.0", "quarter note"),
                        ("0.5", "eighth note"),
                    ],
                    default="1.0", max_length=4, verbose_name="beat unit",
                )),
                ("temperament", models.CharField(
                    choices=[("equal", "equal"), ("just", "just, on the tonic"), ("pythagorean", "Pythagorean")], default="equal",
                    max_length=12, verbose_name="temperament",
                )),
                ("bar_count", models.PositiveIntegerField(editable=False)),
                ("order_text", models.TextField(editable=False, verbose_name="order of play")),
                ("order_question", models.TextField(blank=True, editable=False)),
                ("order_confirmed", models.BooleanField(default=False, verbose_name="the order of play is right")),
                ("added_at", models.DateTimeField(auto_now_add=True)),
            ],
            options={
                "ordering": ["instrument", "title", "pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("instrument", "title", "content_hash"), name="same_music_kept_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="EarlierScore",
            fields=[
                ("id", row_id()),
                ("excerpt", models.ForeignKey(on_delete=CASCADE, related_name="earlier_scores", to="repertoire.excerpt")),
                ("musicxml", models.TextField()),
                ("content_hash", models.CharField(max_length=64)),
                ("replaced_at", models.DateTimeField(default=timezone.now)),
            ],
            options={
                "ordering": ["replaced_at", "pk"],
                "indexes": [models.Index(fields=["excerpt", "replaced_at"], name="repertoire__excerpt_9f29ac_idx")],
            },
        ),
        migrations.CreateModel(
            name="Attachment",
            fields=[
                ("id", row_id()),
                ("excerpt", models.ForeignKey(on_delete=CASCADE, related_name="attachments", to="repertoire.excerpt")),
                ("file", models.FileField(upload_to="pages/%Y/%m/")),
                ("kind", models.CharField(
                    choices=[("application/pdf", "PDF"), ("image/jpeg", "photo"), ("image/png", "picture")], max_length=20,
                )),
                ("size", models.PositiveIntegerField()),
                ("width_px", models.PositiveIntegerField(default=0)),
                ("height_px", models.PositiveIntegerField(default=0)),
                ("added_at", models.DateTimeField(default=timezone.now)),
            ],
            options={"ordering": ["added_at", "pk"]},
        ),
        migrations.CreateModel(
            name="BarNote",
            fields=[
                ("id", row_id()),
                ("excerpt", models.ForeignKey(on_delete=CASCADE, related_name="bar_notes", to="repertoire.excerpt")),
                ("kind", models.CharField(
                    choices=[
                        ("fingering", "Fingering"), ("bowing", "Bowing"), ("breathing", "Breathing"),
                        ("phrasing", "Phrasing"), ("practice", "Practice"), ("caution", "Caution"),
                    ],
                    default="practice", max_length=10, verbose_name="kind",
                )),
                ("from_bar", models.CharField(max_length=10, verbose_name="from bar")),
                ("to_bar", models.CharField(blank=True, max_length=10, verbose_name="to bar")),
                ("note_id", models.CharField(blank=True, max_length=40, verbose_name="one note")),
                ("text", models.TextField(max_length=2000, verbose_name="what to know")),
                ("created_at", models.DateTimeField(default=timezone.now, editable=False)),
                ("edited_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={"ordering": ["excerpt", "created_at", "pk"]},
        ),
        migrations.CreateModel(
            name="Fingering",
            fields=[
                ("id", row_id()),
                ("excerpt", models.OneToOneField(on_delete=CASCADE, related_name="fingering", to="repertoire.excerpt")),
                ("open_strings", models.BooleanField(default=True, verbose_name="use open strings")),
                ("highest", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="highest position")),
                ("tuning", models.CharField(
                    blank=True,
                    help_text="Only if it differs: four to six sounding notes, the lowest string first, like E1 A1 D2 G2.",
                    max_length=40, verbose_name="tuning",
                )),
                ("locks", models.JSONField(blank=True, default=dict, editable=False)),
                ("shown", models.JSONField(blank=True, default=dict, editable=False)),
                ("content_hash", models.CharField(editable=False, max_length=64)),
                ("bar_notes", models.ManyToManyField(blank=True, editable=False, to="repertoire.barnote")),
                ("changed_at", models.DateTimeField(auto_now=True)),
            ],
        ),
        migrations.CreateModel(
            name="Rubric",
            fields=[
                ("id", row_id()),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("serves", models.CharField(
                    choices=[
                        ("etude", "Etudes and passages"), ("scale", "Scale sheets"),
                        ("both", "Etudes, passages and scale sheets"),
                    ],
                    default="etude", max_length=10, verbose_name="used for",
                )),
                ("notes", models.TextField(blank=True, verbose_name="notes")),
                ("total_shown", models.BooleanField(
                    default=False, help_text="The weighted total stands beside the marks of a released review.",
                    verbose_name="students see the total",
                )),
                ("version", models.PositiveSmallIntegerField(default=1, editable=False)),
                ("replaces", models.OneToOneField(
                    editable=False, null=True, on_delete=SET_NULL, related_name="replaced_by", to="repertoire.rubric",
                )),
            ],
            options={"ordering": ["name", "pk"]},
        ),
        migrations.CreateModel(
            name="Caption",
            fields=[
                ("id", row_id()),
                ("rubric", models.ForeignKey(on_delete=CASCADE, related_name="captions", to="repertoire.rubric")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=80, verbose_name="caption")),
                ("low", models.DecimalField(decimal_places=1, default=1, max_digits=5, verbose_name="lowest mark")),
                ("high", models.DecimalField(decimal_places=1, default=10, max_digits=5, verbose_name="highest mark")),
                ("step", models.DecimalField(
                    decimal_places=1, default=1, max_digits=4, validators=[MinValueValidator(Decimal("0.1"))],
                    verbose_name="step",
                )),
                ("weight", models.DecimalField(
                    decimal_places=1, default=1, max_digits=4, validators=[MinValueValidator(Decimal("0.1"))],
                    verbose_name="weight",
                )),
                ("measured", models.CharField(
                    blank=True,
                    choices=[
                        ("", "for the ear"), ("intonation", "intonation"), ("rhythm", "rhythm"),
                        ("tempo", "tempo"), ("accuracy", "accuracy of notes"),
                    ],
                    default="", max_length=12, verbose_name="what can be measured",
                )),
                ("descriptors", models.TextField(
                    blank=True,
                    help_text="What the marks stand for, a line for each level, such as 9-10: clear in every register.",
                    verbose_name="descriptors",
                )),
                ("decides", models.PositiveSmallIntegerField(
                    blank=True, help_text="1 is compared first.", null=True, validators=[MinValueValidator(1)],
                    verbose_name="decides ties",
                )),
            ],
            options={
                "ordering": ["rubric", "position", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("high__gt", models.F("low"))), name="caption_range_goes_up",
                        violation_error_message="The highest mark must be above the lowest.",
                    ),
                ],
            },
        ),
        migrations.RunPython(add_forms, migrations.RunPython.noop, elidable=False),
    ]
