"""Two marking forms to begin with. Going back leaves them: marks may rest on them by then."""

from django.db import migrations

NOTES = (
    "A usual way to mark, common among teachers and panels; it follows no published form. "
    "Change the captions, their ranges and what the marks stand for to suit your auditions."
)

FORMS = [
    {
        "name": "Etude form",
        "serves": "etude",
        "captions": [
            (
                "Tone",
                "",
                "9-10: full and even in every register, every note begins and ends with care.\n"
                "7-8: a good core; thins out or hardens only where it is hardest.\n"
                "5-6: clear on long notes, loses its centre in fast or extreme passages.\n"
                "3-4: often airy, scratchy or forced; beginnings of notes are left to chance.\n"
                "1-2: the sound does not yet carry the music.",
            ),
            (
                "Intonation",
                "intonation",
                "9-10: in tune throughout; leading notes and wide leaps are placed with intent.\n"
                "7-8: in tune, with single notes off and mostly put right at once.\n"
                "5-6: the key is clear, some notes lean the same way each time they come.\n"
                "3-4: many notes off; the key is lost at shifts, breaks or leaps.\n"
                "1-2: the pitch does not settle.",
            ),
            (
                "Musicality",
                "",
                "9-10: phrases have a direction and a shape one wants to hear again; style and tempo serve them.\n"
                "7-8: phrases and dynamics are planned and heard, now and then too careful.\n"
                "5-6: the printed dynamics are there, the line stops at bar lines or breaths.\n"
                "3-4: notes in order, little difference between loud and soft, held and let go.\n"
                "1-2: no phrase is heard yet.",
            ),
        ],
    },
    {
        "name": "Scale form",
        "serves": "scale",
        "captions": [
            (
                "Tone",
                "",
                "9-10: one sound from the lowest note to the highest, even across shifts and breaks.\n"
                "7-8: even, with a change of colour at one or two places.\n"
                "5-6: clear in the middle, weaker at the ends of the range.\n"
                "3-4: uneven from note to note.\n"
                "1-2: many notes do not speak.",
            ),
            (
                "Accuracy",
                "accuracy",
                "9-10: every note of the scale, in tune, in time, up and down.\n"
                "7-8: one slip, put right without losing the pulse.\n"
                "5-6: a few wrong notes or stops; the key stays clear.\n"
                "3-4: accidentals missed again and again, or the pulse breaks off.\n"
                "1-2: the scale is not yet known.",
            ),
            (
                "Arpeggio",
                "",
                "9-10: clean leaps, top and bottom notes in tune, the same pulse as the scale.\n"
                "7-8: secure, with a careful leap or two.\n"
                "5-6: right notes, slower or less even than the scale.\n"
                "3-4: leaps miss or are felt for.\n"
                "1-2: not yet known.",
            ),
        ],
    },
]


def add_forms(apps, schema_editor) -> None:
    rubric_model = apps.get_model("repertoire", "Rubric")
    caption_model = apps.get_model("repertoire", "Caption")
    for form in FORMS:
        if rubric_model.objects.filter(name=form["name"]).exists():
            continue
        rubric = rubric_model.objects.create(name=form["name"], serves=form["serves"], notes=NOTES)
        caption_model.objects.bulk_create(
            caption_model(rubric=rubric, position=position, name=name, measured=measured, descriptors=text)
            for position, (name, measured, text) in enumerate(form["captions"], 1)
        )


class Migration(migrations.Migration):
    dependencies = [("repertoire", "0002_same_music_once")]

    operations = [migrations.RunPython(add_forms, migrations.RunPython.noop, elidable=False)]
