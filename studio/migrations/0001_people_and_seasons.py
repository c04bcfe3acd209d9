"""People, seasons, what must be played, clinics and questions; and who wrote what stands beside the music.

Seasons name music and music names people, so neither room's tables can all be made before the other's.
The music comes first, and its four columns that name people are added here: a later migration of `repertoire`
that takes one of them away has to name this one among its dependencies.
"""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import migrations, models
from django.db.models import CASCADE, PROTECT, SET_NULL
from django.utils import timezone

ROLES = [
    ("director", "Director"), ("teacher", "Teacher"), ("student", "Student"), ("guardian", "Guardian"),
]
WRITER = {"null": True, "on_delete": SET_NULL, "to": settings.AUTH_USER_MODEL}


class AddToRepertoire(migrations.AddField):
    """A field of a model of `repertoire`; Django's own would look for the model in this migration's app."""

    def state_forwards(self, app_label, state) -> None:
        super().state_forwards("repertoire", state)

    def database_forwards(self, app_label, schema_editor, from_state, to_state) -> None:
        super().database_forwards("repertoire", schema_editor, from_state, to_state)

    def database_backwards(self, app_label, schema_editor, from_state, to_state) -> None:
        super().database_backwards("repertoire", schema_editor, from_state, to_state)


def row_id():
    return models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


class Migration(migrations.Migration):
    initial = True

    replaces = [
        ("studio", "0001_initial"),
        ("studio", "0002_questions_and_clinics"),
        ("studio", "0003_order_as_a_line"),
    ]

    dependencies = [("repertoire", "0001_music_and_marking_forms")]

    operations = [
        migrations.CreateModel(
            name="User",
            fields=[
                ("id", row_id()),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                ("email", models.EmailField(max_length=254, unique=True, verbose_name="mail address")),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("is_active", models.BooleanField(default=True)),
                ("joined_at", models.DateTimeField(default=timezone.now)),
            ],
            options={"abstract": False},
        ),
        migrations.CreateModel(
            name="RoleGrant",
            fields=[
                ("id", row_id()),
                ("user", models.ForeignKey(on_delete=CASCADE, related_name="roles", to=settings.AUTH_USER_MODEL)),
                ("role", models.CharField(choices=ROLES, max_length=10)),
            ],
            options={"constraints": [models.UniqueConstraint(fields=("user", "role"), name="one_grant_per_role")]},
        ),
        migrations.CreateModel(
            name="Studio",
            fields=[
                ("id", row_id()),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("time_zone", models.CharField(max_length=60, verbose_name="time zone")),
                ("ready_percent", models.PositiveSmallIntegerField(
                    default=70,
                    help_text="A take counts as ready when every caption is marked at this share of its top mark or above.",
                    validators=[MinValueValidator(1), MaxValueValidator(100)],
                    verbose_name="ready from, in percent of each top mark",
                )),
                ("invented", models.BooleanField(default=False)),
            ],
        ),
        migrations.CreateModel(
            name="Season",
            fields=[
                ("id", row_id()),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("starts_on", models.DateField(verbose_name="starts on")),
                ("ends_on", models.DateField(verbose_name="ends on")),
                ("keep_takes_days", models.PositiveIntegerField(
                    default=180, verbose_name="keep takes for this many days after the season",
                )),
            ],
            options={
                "ordering": ["-starts_on", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("ends_on__gte", models.F("starts_on"))), name="season_ends_after_it_starts",
                        violation_error_message="The season must end on or after the day it starts.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Audition",
            fields=[
                ("id", row_id()),
                ("season", models.ForeignKey(on_delete=CASCADE, related_name="auditions", to="studio.season")),
                ("name", models.CharField(max_length=160, verbose_name="name")),
                ("kind", models.CharField(
                    choices=[("recorded", "Recorded"), ("live", "Live")], default="recorded", max_length=10,
                    verbose_name="recorded or live",
                )),
                ("held_on", models.DateField(verbose_name="date")),
                ("closes_at", models.DateTimeField(verbose_name="closing time")),
                ("notes", models.TextField(blank=True, verbose_name="notes")),
            ],
            options={"ordering": ["closes_at", "pk"]},
        ),
        migrations.CreateModel(
            name="Student",
            fields=[
                ("id", row_id()),
                ("user", models.ForeignKey(
                    blank=True, null=True, on_delete=SET_NULL, related_name="students", to=settings.AUTH_USER_MODEL,
                )),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="student's mail address")),
                ("instrument", models.CharField(max_length=30, verbose_name="instrument")),
                ("level", models.CharField(max_length=40, verbose_name="level")),
                ("teacher", models.ForeignKey(
                    on_delete=PROTECT, related_name="taught_students", to=settings.AUTH_USER_MODEL, verbose_name="teacher",
                )),
                ("is_minor", models.BooleanField(default=True, verbose_name="is a minor")),
                ("guardian_email", models.EmailField(blank=True, max_length=254, verbose_name="guardian's mail address")),
            ],
            options={"ordering": ["name", "pk"]},
        ),
        migrations.CreateModel(
            name="Guardianship",
            fields=[
                ("id", row_id()),
                ("guardian", models.ForeignKey(on_delete=CASCADE, related_name="guardianships", to=settings.AUTH_USER_MODEL)),
                ("student", models.ForeignKey(on_delete=CASCADE, related_name="guardianships", to="studio.student")),
            ],
            options={"constraints": [models.UniqueConstraint(fields=("guardian", "student"), name="one_guardianship")]},
        ),
        migrations.CreateModel(
            name="Consent",
            fields=[
                ("id", row_id()),
                ("student", models.ForeignKey(on_delete=CASCADE, related_name="consents", to="studio.student")),
                ("given_by", models.ForeignKey(on_delete=PROTECT, related_name="consents_given", to=settings.AUTH_USER_MODEL)),
                ("given_at", models.DateTimeField(default=timezone.now)),
                ("wording", models.TextField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at", None)), fields=("student",), name="one_standing_consent",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Invitation",
            fields=[
                ("id", row_id()),
                ("email", models.EmailField(max_length=254, verbose_name="mail address")),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("role", models.CharField(choices=ROLES, max_length=10, verbose_name="role")),
                ("student", models.ForeignKey(
                    blank=True, null=True, on_delete=CASCADE, related_name="invitations", to="studio.student",
                )),
                ("token_hash", models.CharField(max_length=64, unique=True)),
                ("invited_by", models.ForeignKey(
                    on_delete=PROTECT, related_name="invitations_sent", to=settings.AUTH_USER_MODEL,
                )),
                ("invited_at", models.DateTimeField(default=timezone.now)),
                ("expires_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={"ordering": ["-invited_at", "-pk"]},
        ),
        migrations.CreateModel(
            name="Requirement",
            fields=[
                ("id", row_id()),
                ("audition", models.ForeignKey(on_delete=CASCADE, related_name="requirements", to="studio.audition")),
                ("instrument", models.CharField(max_length=30, verbose_name="instrument")),
                ("level", models.CharField(max_length=40, verbose_name="level")),
                ("excerpt", models.ForeignKey(
                    on_delete=PROTECT, related_name="requirements", to="repertoire.excerpt", verbose_name="music",
                )),
                ("rubric", models.ForeignKey(
                    on_delete=PROTECT, related_name="requirements", to="repertoire.rubric", verbose_name="marking form",
                )),
                ("marked_bpm", models.DecimalField(
                    decimal_places=1, max_digits=5, validators=[MinValueValidator(10)], verbose_name="marked tempo",
                )),
                ("low_bpm", models.DecimalField(
                    decimal_places=1, max_digits=5, validators=[MinValueValidator(10)], verbose_name="accepted from",
                )),
                ("high_bpm", models.DecimalField(
                    decimal_places=1, max_digits=5, validators=[MinValueValidator(10)], verbose_name="accepted to",
                )),
                ("with_repeats", models.BooleanField(default=True, verbose_name="with repeats")),
                ("from_bar", models.CharField(blank=True, max_length=10, verbose_name="from bar")),
                ("to_bar", models.CharField(blank=True, max_length=10, verbose_name="to bar")),
                ("order_line", models.TextField(blank=True, default="", verbose_name="order of play as a line")),
                ("may_be_stopped", models.BooleanField(default=False, verbose_name="the judges may stop the student anywhere")),
                ("due_at", models.DateTimeField(verbose_name="internal deadline")),
            ],
            options={
                "ordering": ["due_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("low_bpm__lte", models.F("marked_bpm")), ("high_bpm__gte", models.F("marked_bpm"))),
                        name="marked_tempo_inside_range",
                        violation_error_message="The marked tempo must lie inside the accepted range.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("id", row_id()),
                ("student", models.ForeignKey(on_delete=CASCADE, related_name="entries", to="studio.student")),
                ("audition", models.ForeignKey(on_delete=CASCADE, related_name="entries", to="studio.audition")),
                ("instrument", models.CharField(max_length=30, verbose_name="instrument")),
                ("level", models.CharField(max_length=40, verbose_name="level")),
            ],
            options={
                "verbose_name_plural": "entries",
                "ordering": ["audition__closes_at", "student__name", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("student", "audition", "instrument"), name="one_entry_per_student_and_audition",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Clinic",
            fields=[
                ("id", row_id()),
                ("excerpt", models.ForeignKey(
                    on_delete=PROTECT, related_name="clinics", to="repertoire.excerpt", verbose_name="music",
                )),
                ("held_at", models.DateTimeField(verbose_name="day and time")),
                ("place", models.CharField(max_length=160, verbose_name="place")),
                ("leader", models.ForeignKey(
                    on_delete=PROTECT, related_name="clinics_led", to=settings.AUTH_USER_MODEL, verbose_name="leader",
                )),
                ("for_all", models.BooleanField(default=True, verbose_name="all who play this music")),
                ("students", models.ManyToManyField(
                    blank=True, related_name="clinics", to="studio.student", verbose_name="only these students",
                )),
                ("notes", models.TextField(blank=True, max_length=4000, verbose_name="notes")),
            ],
            options={"ordering": ["held_at", "pk"]},
        ),
        migrations.CreateModel(
            name="Question",
            fields=[
                ("id", row_id()),
                ("student", models.ForeignKey(
                    on_delete=CASCADE, related_name="questions", to="studio.student", verbose_name="for",
                )),
                ("excerpt", models.ForeignKey(on_delete=CASCADE, related_name="questions", to="repertoire.excerpt")),
                ("from_bar", models.CharField(max_length=10, verbose_name="from bar")),
                ("to_bar", models.CharField(blank=True, max_length=10, verbose_name="to bar")),
                ("text", models.TextField(max_length=2000, verbose_name="question")),
                ("asked_by", models.ForeignKey(
                    editable=False, null=True, on_delete=SET_NULL, related_name="questions_asked", to=settings.AUTH_USER_MODEL,
                )),
                ("asked_at", models.DateTimeField(default=timezone.now, editable=False)),
                ("answer", models.TextField(blank=True, max_length=4000, verbose_name="answer")),
                ("answered_by", models.ForeignKey(
                    editable=False, null=True, on_delete=SET_NULL, related_name="questions_answered", to=settings.AUTH_USER_MODEL,
                )),
                ("answered_at", models.DateTimeField(editable=False, null=True)),
                ("is_shared", models.BooleanField(default=False, verbose_name="show it to all who play this music")),
                ("shared_text", models.TextField(blank=True, max_length=2000, verbose_name="the question as all read it")),
            ],
            options={"ordering": ["asked_at", "pk"]},
        ),
        AddToRepertoire("attachment", "added_by", models.ForeignKey(related_name="+", **WRITER)),
        AddToRepertoire("barnote", "author", models.ForeignKey(blank=True, editable=False, related_name="bar_notes", **WRITER)),
        AddToRepertoire("earlierscore", "replaced_by", models.ForeignKey(related_name="+", **WRITER)),
        AddToRepertoire("fingering", "author", models.ForeignKey(editable=False, related_name="+", **WRITER)),
    ]
