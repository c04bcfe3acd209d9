"""Versions of marking forms, totals, ties; three more forms to begin with.

Going back leaves the forms: marks may rest on them by then.
"""

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models


NOTES = (
    "A common shape of marking, common practice, from no published form. "
    "Change the captions, their ranges and what the marks stand for to suit your auditions."
)

TEN = ("9-10", "7-8", "5-6", "3-4", "1-2")
FIVE = ("4.5-5", "3.5-4", "2.5-3", "1.5-2", "1")


def levels(marks, *words):
    return "\n".join(f"{mark}: {one}" for mark, one in zip(marks, words, strict=True))


# name, what can be measured, low, high, step, weight, decides ties at, descriptors
FORMS = [
    {
        "name": "Three captions of ten",
        "serves": "both",
        "captions": [
            ("Sound", "", 1, 10, "1", 1, 2, levels(
                TEN,
                "one sound, steady and free, in every register and at every loudness.",
                "steady, a little thinner or harder at the edges.",
                "steady on long notes only.",
                "often unsteady or forced.",
                "does not carry yet.",
            )),
            ("Notes and pitch", "intonation", 1, 10, "1", 1, 1, levels(
                TEN,
                "every note right and in tune.",
                "a slip or two, heard and put right.",
                "the same few places are off each time.",
                "the key or the passage is often lost.",
                "the notes are not known yet.",
            )),
            ("Time", "rhythm", 1, 10, "1", 1, 3, levels(
                TEN,
                "one pulse from first note to last, every length exact.",
                "steady, with a short push or drag.",
                "steady where it is easy.",
                "the pulse changes from line to line.",
                "no pulse to follow yet.",
            )),
        ],
    },
    {
        "name": "Five captions of five, in half steps",
        "serves": "etude",
        "captions": [
            ("Tone", "", 1, 5, "0.5", 1, 2, levels(
                FIVE, "full and even.", "good, uneven at the extremes.", "clear in the middle only.",
                "airy, scratchy or pressed.", "not settled yet.",
            )),
            ("Intonation", "intonation", 1, 5, "0.5", 1, 3, levels(
                FIVE, "in tune throughout.", "single notes off.", "the same notes off each time.",
                "many notes off.", "the key is not heard.",
            )),
            ("Rhythm", "rhythm", 1, 5, "0.5", 1, 4, levels(
                FIVE, "exact and alive.", "exact, with a slip.", "simple figures exact.",
                "figures change from bar to bar.", "not readable yet.",
            )),
            ("Technique", "accuracy", 1, 5, "0.5", 1, 5, levels(
                FIVE, "at ease everywhere.", "at ease but for the hardest bars.", "careful in fast bars.",
                "stops or stumbles.", "beyond reach for now.",
            )),
            ("Musicality", "", 1, 5, "0.5", 1, 1, levels(
                FIVE, "every phrase goes somewhere.", "phrases are shaped, a little carefully.",
                "printed dynamics are played.", "one loudness, one colour.", "note by note.",
            )),
        ],
    },
    {
        "name": "Scales by octaves",
        "serves": "scale",
        "captions": [
            ("Octaves going up", "", 0, 3, "1", 1, 2,
             "3: three octaves without a fault.\n2: two octaves.\n1: one octave.\n0: none yet."),
            ("Octaves coming down", "", 0, 3, "1", 1, 3,
             "3: three octaves without a fault.\n2: two octaves.\n1: one octave.\n0: none yet."),
            ("Octaves of the arpeggio, up and down", "", 0, 3, "1", 1, 4,
             "3: three octaves without a fault.\n2: two octaves.\n1: one octave.\n0: none yet."),
            ("Evenness", "rhythm", 0, 3, "1", 1, 1,
             "3: one pulse throughout.\n2: a single hesitation.\n1: slows where it is hard.\n0: no pulse."),
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
            caption_model(
                rubric=rubric, position=position, name=name, measured=measured, low=low, high=high,
                step=step, weight=weight, decides=decides, descriptors=text,
            )
            for position, (name, measured, low, high, step, weight, decides, text) in enumerate(
                form["captions"], 1
            )
        )


class Migration(migrations.Migration):

    dependencies = [
        ('repertoire', '0007_printed_pages'),
    ]

    operations = [
        migrations.AddField(
            model_name='caption',
            name='decides',
            field=models.PositiveSmallIntegerField(blank=True, help_text='1 is compared first.', null=True, validators=[django.core.validators.MinValueValidator(1)], verbose_name='decides ties'),
        ),
        migrations.AddField(
            model_name='rubric',
            name='replaces',
            field=models.OneToOneField(editable=False, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='replaced_by', to='repertoire.rubric'),
        ),
        migrations.AddField(
            model_name='rubric',
            name='total_shown',
            field=models.BooleanField(default=False, help_text='The weighted total stands beside the marks of a released review.', verbose_name='students see the total'),
        ),
        migrations.AddField(
            model_name='rubric',
            name='version',
            field=models.PositiveSmallIntegerField(default=1, editable=False),
        ),
        migrations.AlterField(
            model_name='caption',
            name='descriptors',
            field=models.TextField(blank=True, help_text='What the marks stand for, a line for each level, such as 9-10: clear in every register.', verbose_name='descriptors'),
        ),
        migrations.AlterField(
            model_name='rubric',
            name='serves',
            field=models.CharField(choices=[('etude', 'Etudes and passages'), ('scale', 'Scale sheets'), ('both', 'Etudes, passages and scale sheets')], default='etude', max_length=10, verbose_name='used for'),
        ),
        migrations.RunPython(add_forms, migrations.RunPython.noop, elidable=False),
    ]
