from django.db import migrations, models

AT_ONCE = 50


def fill(apps, schema_editor):
    """From the stored documents, a few at a time: one can hold some hundred kilobytes."""
    analyses = apps.get_model("recordings", "Analysis").objects.using(schema_editor.connection.alias)
    waiting = list(analyses.filter(result__isnull=False).values_list("pk", flat=True))
    for start in range(0, len(waiting), AT_ONCE):
        rows = list(analyses.filter(pk__in=waiting[start : start + AT_ONCE]).only("pk", "result"))
        for row in rows:
            row.right_share, row.in_tune_share = shares(row.result)
        analyses.bulk_update(rows, ["right_share", "in_tune_share"])


def shares(result):
    form, intonation = result.get("form") or {}, result.get("intonation") or {}
    count = form.get("note_count")
    wrong = (form.get("wrong_count") or 0) + (form.get("missing_count") or 0)
    in_tune = intonation.get("within_tolerance_share") if intonation.get("judged") else None
    return ((count - wrong) / count if count else None), in_tune


class Migration(migrations.Migration):
    """How many notes were right and in tune, kept beside the document, so that a list needs no document."""

    dependencies = [("recordings", "0008_record_again")]

    operations = [
        migrations.AddField(
            model_name="analysis",
            name="right_share",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="analysis",
            name="in_tune_share",
            field=models.FloatField(blank=True, null=True),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
