import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('recordings', '0009_shares_of_notes'),
        ('studio', '0012_calendar_feed'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Upload',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('size', models.BigIntegerField()),
                ('sha256', models.CharField(max_length=64)),
                ('metadata', models.TextField(blank=True)),
                ('original_name', models.CharField(blank=True, max_length=200)),
                ('offset', models.BigIntegerField(default=0)),
                ('begun_at', models.DateTimeField(db_index=True, default=django.utils.timezone.now)),
                ('entry', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='uploads', to='studio.entry')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='uploads', to=settings.AUTH_USER_MODEL)),
                ('requirement', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='uploads', to='studio.requirement')),
                ('take', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='uploads', to='recordings.take')),
            ],
            options={
                'ordering': ['begun_at', 'id'],
            },
        ),
        migrations.CreateModel(
            name='UploadPart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('start', models.BigIntegerField()),
                ('size', models.BigIntegerField()),
                ('file', models.FileField(upload_to='parts/')),
                ('upload', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='parts', to='recordings.upload')),
            ],
            options={
                'ordering': ['start'],
            },
        ),
        migrations.AddConstraint(
            model_name='upload',
            constraint=models.CheckConstraint(condition=models.Q(('offset__gte', 0), ('offset__lte', models.F('size'))), name='upload_within_its_size'),
        ),
        migrations.AddConstraint(
            model_name='uploadpart',
            constraint=models.UniqueConstraint(fields=('upload', 'start'), name='one_part_per_offset'),
        ),
    ]
