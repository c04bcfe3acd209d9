"""When an answer was first opened; those released before count as opened."""

from django.db import migrations, models


def mark_opened(apps, schema_editor) -> None:
    reviews = apps.get_model("recordings", "Review").objects
    reviews.filter(state="released").update(opened_at=models.F("released_at"))


class Migration(migrations.Migration):
    dependencies = [("recordings", "0004_asked_to_record_again")]

    operations = [
        migrations.AddField(
            model_name="review",
            name="opened_at",
            field=models.DateTimeField(null=True, blank=True, editable=False),
        ),
        migrations.RunPython(mark_opened, migrations.RunPython.noop),
    ]
