"""Orders of play said as they are read now: nested repeats and some jumps were unfolded wrongly before.

Where the order differs from the one kept, it is to be confirmed again. Music that cannot be read stays as it is.
"""

from django.db import migrations

from repertoire.notation.order.forms import describe, play
from repertoire.notation.messages import ORDER_OTHER_FAILED
from repertoire.notation.read.reading import load_canonical
from repertoire.notation.score import BadScore


def read_anew(apps, schema_editor) -> None:
    Excerpt = apps.get_model("repertoire", "Excerpt")
    for excerpt in Excerpt.objects.only("musicxml", "order_text").iterator(chunk_size=50):
        try:
            order = describe(play(load_canonical(excerpt.musicxml)))
        except BadScore:
            continue
        if order != excerpt.order_text:
            excerpt.order_text = order
            excerpt.order_question = ORDER_OTHER_FAILED.format(order=order)
            excerpt.order_confirmed = False
            excerpt.save(update_fields=["order_text", "order_question", "order_confirmed"])


class Migration(migrations.Migration):
    dependencies = [("repertoire", "0008_rubric_versions")]

    operations = [migrations.RunPython(read_anew, migrations.RunPython.noop)]
