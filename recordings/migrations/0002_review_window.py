from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('recordings', '0001_initial'),
    ]

    operations = [
        migrations.AddField(
            model_name='review',
            name='window',
            field=models.CharField(blank=True, editable=False, max_length=36, default=''),
            preserve_default=False,
        ),
    ]
