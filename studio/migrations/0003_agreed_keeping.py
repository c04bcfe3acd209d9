from datetime import timedelta

import django.db.models.deletion
from django.db import migrations, models


def write_down_standing_promises(apps, schema_editor) -> None:
    """Agreements given before named the day of their season as it stands now."""
    consents = apps.get_model("studio", "Consent").objects.filter(withdrawn_at=None)
    seasons = apps.get_model("studio", "Season").objects
    keepings = apps.get_model("studio", "AgreedKeeping").objects
    for consent in consents.iterator():
        for season in seasons.filter(auditions__entries__student=consent.student_id).distinct():
            until = season.ends_on + timedelta(days=season.keep_takes_days)
            keepings.create(consent=consent, season=season, until=until)


class Migration(migrations.Migration):
    """The day a guardian agreed to stays with the agreement."""

    dependencies = [("studio", "0002_clinic_acceptance")]

    operations = [
        migrations.CreateModel(
            name="AgreedKeeping",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("until", models.DateField()),
                ("consent", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="keepings", to="studio.consent")),
                ("season", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="keepings", to="studio.season")),
            ],
        ),
        migrations.AddConstraint(
            model_name="agreedkeeping",
            constraint=models.UniqueConstraint(fields=("consent", "season"), name="one_day_a_season_and_agreement"),
        ),
        migrations.RunPython(write_down_standing_promises, migrations.RunPython.noop),
    ]
