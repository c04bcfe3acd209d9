from django.db import migrations, models
from django.db.models import F
from django.db.models.fields.json import KT


def judge(apps, schema_editor):
    """What was sent stays sent. In drafts a remark nobody has touched becomes a proposal again."""
    remarks = apps.get_model("recordings", "Remark").objects.using(schema_editor.connection.alias)
    remarks.filter(kept=True).update(verdict="kept")
    remarks.filter(kept=False).update(verdict="dropped")
    drafts = remarks.filter(review__state="draft", kept=True, finding__isnull=False)
    untouched = drafts.annotate(drafted=KT("finding__text")).filter(drafted=F("text"))
    remarks.filter(pk__in=list(untouched.values_list("pk", flat=True))).update(verdict="proposed")


def unjudge(apps, schema_editor):
    """Before, a draft's untouched remarks stood as kept until the teacher left them out."""
    remarks = apps.get_model("recordings", "Remark").objects.using(schema_editor.connection.alias)
    remarks.filter(verdict__in=["kept", "proposed"]).update(kept=True)
    remarks.filter(verdict__in=["dropped", "wrong"]).update(kept=False)


class Migration(migrations.Migration):
    dependencies = [("recordings", "0005_answer_opened")]

    operations = [
        migrations.AddField(
            "remark",
            "verdict",
            models.CharField(
                choices=[
                    ("proposed", "not looked at"),
                    ("kept", "keep"),
                    ("dropped", "leave out"),
                    ("wrong", "this is wrong"),
                ],
                default="proposed",
                max_length=10,
            ),
        ),
        migrations.AddField(
            "remark",
            "wrong_reason",
            models.CharField(
                blank=True,
                choices=[
                    ("note_was_right", "the note was right"),
                    ("bars_misplaced", "the bars are misplaced"),
                    ("other_form", "another form was played"),
                    ("style", "it is style"),
                    ("wrong_piece", "it is another piece"),
                ],
                max_length=20,
            ),
        ),
        migrations.RunPython(judge, unjudge, elidable=True),
        migrations.RemoveField("remark", "kept"),
    ]
