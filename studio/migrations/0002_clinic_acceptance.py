import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    """A leader reads questions of those who said that they come."""

    dependencies = [("studio", "0001_people_and_seasons")]

    operations = [
        migrations.CreateModel(
            name="ClinicAcceptance",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("accepted_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("may_be_named", models.BooleanField(default=False, verbose_name="The leader may see the name beside a question")),
                ("accepted_by", models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL)),
                ("clinic", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="acceptances", to="studio.clinic")),
                ("student", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="acceptances", to="studio.student")),
            ],
        ),
        migrations.AddConstraint(
            model_name="clinicacceptance",
            constraint=models.UniqueConstraint(fields=("clinic", "student"), name="one_acceptance_a_student"),
        ),
    ]
