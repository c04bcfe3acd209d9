from django.db import migrations, models


def keep_texts(apps, schema_editor) -> None:
    """Questions asked before stay in the words they were asked in."""
    excerpts = apps.get_model("repertoire", "Excerpt").objects
    for excerpt in excerpts.exclude(order_question_text="").only("order_question_text").iterator():
        excerpts.filter(pk=excerpt.pk).update(order_question=excerpt.order_question_text)


def write_out(apps, schema_editor) -> None:
    """Backwards there are no words for a code, so it stands with its arguments."""
    excerpts = apps.get_model("repertoire", "Excerpt").objects
    for excerpt in excerpts.exclude(order_question=None).only("order_question").iterator():
        question = excerpt.order_question
        if not isinstance(question, str):
            named = ", ".join(f"{name} {value}" for name, value in question["args"].items())
            question = f"{question['code']}: {named}"
        excerpts.filter(pk=excerpt.pk).update(order_question_text=question)


class Migration(migrations.Migration):
    """What is asked about the order of play is kept as a code with arguments."""

    dependencies = [("repertoire", "0001_music_and_marking_forms")]

    operations = [
        migrations.RenameField("excerpt", "order_question", "order_question_text"),
        migrations.AddField("excerpt", "order_question", models.JSONField(blank=True, editable=False, null=True)),
        migrations.RunPython(keep_texts, write_out),
        migrations.RemoveField("excerpt", "order_question_text"),
    ]
