from django.db import migrations


class Migration(migrations.Migration):
    """The tempo told is the one a musician would set the metronome to."""

    dependencies = [("recordings", "0001_takes_and_reviews")]

    operations = [
        migrations.RenameField(
            model_name="analysis",
            old_name="median_bpm",
            new_name="metronome_bpm",
        ),
    ]
