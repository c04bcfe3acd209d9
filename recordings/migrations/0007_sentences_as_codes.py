from django.db import migrations, models
from django.db.models import F
from django.db.models.fields.json import KT

CHUNK = 500


def keep_as_json(apps, schema_editor):
    """What was told in words stays these words: a JSON text."""
    for model, old, new in (("Analysis", "failure", "failed_for"), ("Mark", "evidence", "rests_on")):
        rows = apps.get_model("recordings", model).objects.using(schema_editor.connection.alias)
        for row in rows.exclude(**{old: ""}).only("pk", old).iterator(CHUNK):
            rows.filter(pk=row.pk).update(**{new: getattr(row, old)})


def keep_as_text(apps, schema_editor):
    """Back to text; of a sentence stored as a code only the code is left."""
    for model, old, new in (("Analysis", "failure", "failed_for"), ("Mark", "evidence", "rests_on")):
        rows = apps.get_model("recordings", model).objects.using(schema_editor.connection.alias)
        for row in rows.only("pk", new).iterator(CHUNK):
            told = getattr(row, new)
            rows.filter(pk=row.pk).update(**{old: told["code"] if isinstance(told, dict) else told})


def forget_drafted_words(apps, schema_editor):
    """A remark that still says what was drafted keeps no words of its own."""
    remarks = apps.get_model("recordings", "Remark").objects.using(schema_editor.connection.alias)
    drafted = remarks.filter(finding__isnull=False).annotate(drafted=KT("finding__text"))
    same = drafted.filter(drafted=F("own_text")).values_list("pk", flat=True)
    remarks.filter(pk__in=list(same)).update(own_text=None)


def write_drafted_words(apps, schema_editor):
    """Back to text; of a finding stored as a code only the code is left."""
    remarks = apps.get_model("recordings", "Remark").objects.using(schema_editor.connection.alias)
    for remark in remarks.filter(own_text__isnull=True).only("pk", "finding").iterator(CHUNK):
        told = (remark.finding or {}).get("text", "")
        remarks.filter(pk=remark.pk).update(own_text=told["code"] if isinstance(told, dict) else told)


class Migration(migrations.Migration):
    dependencies = [("recordings", "0006_remarks_are_proposals")]

    operations = [
        migrations.AddField("analysis", "failed_for", models.JSONField(blank=True, default=str)),
        migrations.AddField("mark", "rests_on", models.JSONField(blank=True, default=str)),
        migrations.RunPython(keep_as_json, keep_as_text, elidable=True),
        migrations.RemoveField("analysis", "failure"),
        migrations.RemoveField("mark", "evidence"),
        migrations.RenameField("analysis", "failed_for", "failure"),
        migrations.RenameField("mark", "rests_on", "evidence"),
        migrations.RenameField("remark", "text", "own_text"),
        migrations.AlterField("remark", "own_text", models.TextField(blank=True, null=True)),
        migrations.RunPython(forget_drafted_words, write_drafted_words, elidable=True),
    ]
