from decimal import Decimal

import django.core.validators
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("repertoire", "0001_initial")]

    operations = [
        migrations.AlterField(
            model_name="excerpt",
            name="order_text",
            field=models.TextField(editable=False, verbose_name="order of play"),
        ),
        migrations.AlterField(
            model_name="caption",
            name="step",
            field=models.DecimalField(
                decimal_places=1,
                default=1,
                max_digits=4,
                validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                verbose_name="step",
            ),
        ),
        migrations.AlterField(
            model_name="caption",
            name="weight",
            field=models.DecimalField(
                decimal_places=1,
                default=1,
                max_digits=4,
                validators=[django.core.validators.MinValueValidator(Decimal("0.1"))],
                verbose_name="weight",
            ),
        ),
        migrations.AddConstraint(
            model_name="excerpt",
            constraint=models.UniqueConstraint(
                fields=("instrument", "title", "content_hash"), name="same_music_kept_once"
            ),
        ),
    ]
