"""When an entry was made; nobody knows it of those that are there already."""

from django.db import migrations, models
from django.utils import timezone


class Migration(migrations.Migration):
    dependencies = [("studio", "0003_agreed_keeping")]

    operations = [
        migrations.AddField(
            model_name="entry",
            name="made_at",
            field=models.DateTimeField(null=True, default=None, editable=False),
        ),
        migrations.AlterField(
            model_name="entry",
            name="made_at",
            field=models.DateTimeField(null=True, default=timezone.now, editable=False),
        ),
    ]
