import re
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.db.models import ProtectedError

from repertoire.models import Attachment, Caption, Excerpt, Rubric
from repertoire.notation.numerals import plain_number

pytestmark = pytest.mark.django_db


def test_the_same_music_is_kept_once(excerpt):
    with pytest.raises(IntegrityError), transaction.atomic():
        Excerpt.objects.create(
            title=excerpt.title,
            instrument=excerpt.instrument,
            musicxml=excerpt.musicxml,
            marked_bpm=60,
            bar_count=4,
        )


def test_music_set_for_an_audition_is_not_deleted(requirement):
    with pytest.raises(ProtectedError):
        requirement.excerpt.delete()


def test_a_stored_file_tells_nothing_of_the_name_it_came_with():
    field = Attachment._meta.get_field("file")
    keys = {field.generate_filename(None, "Anna's page.pdf") for _ in range(2)}
    assert len(keys) == 2
    assert all(re.fullmatch(r"pages/\d{4}/\d{2}/[0-9a-f]{32}", key) for key in keys)


@pytest.mark.parametrize(
    ("model", "name", "field"),
    [(Excerpt, "instrument", models.CharField), (Attachment, "file", models.FileField)],
)
def test_migrations_see_fields_of_ours_as_those_of_django(model, name, field):
    _, path, _, reported = model._meta.get_field(name).deconstruct()
    assert path == field().deconstruct()[1]
    assert "choices" not in reported
    assert not callable(reported.get("upload_to"))


def test_a_score_names_only_instruments_there_are(excerpt):
    excerpt.instrument = "lamp"
    with pytest.raises(ValidationError, match="lamp"):
        excerpt.full_clean()


@pytest.mark.parametrize(("value", "wording"), [("10.0", "10"), ("0.5", "0.5"), ("100", "100")])
def test_plain_numbers(value, wording):
    assert plain_number(Decimal(value)) == wording


def test_tempo_is_reported_with_its_note(excerpt):
    excerpt.beat_unit, excerpt.marked_bpm = "1.5", Decimal("66.0")
    assert excerpt.tempo_text == "dotted quarter note = 66"


@pytest.mark.parametrize("mark", ["1", "5.5", "10"])
def test_marks_on_the_steps_are_taken(mark):
    Caption(name="Tone", low=Decimal(1), high=Decimal(10), step=Decimal("0.5")).check_mark(Decimal(mark))


@pytest.mark.parametrize(
    ("mark", "sentence"), [("10.5", "Tone goes from 1 to 10."), ("5.2", "Tone is marked in steps of 0.5.")]
)
def test_other_marks_get_a_sentence(mark, sentence):
    caption = Caption(name="Tone", low=Decimal("1.0"), high=Decimal("10.0"), step=Decimal("0.5"))
    with pytest.raises(ValidationError, match=sentence):
        caption.check_mark(Decimal(mark))


def test_the_first_marking_forms_are_there_from_the_start():
    etude, scale = Rubric.objects.order_by("pk")[:2]
    assert [caption.name for caption in etude.captions.all()] == ["Tone", "Intonation", "Musicality"]
    assert [caption.measured for caption in etude.captions.all()] == ["", "intonation", ""]
    assert [caption.name for caption in scale.captions.all()] == ["Tone", "Accuracy", "Arpeggio"]
    assert scale.serves == Rubric.Serves.SCALE
    assert all((caption.low, caption.high) == (1, 10) for caption in etude.captions.all())


def test_laying_the_first_forms_again_adds_nothing_and_changes_nothing():
    Rubric.objects.filter(name="Etude form").update(notes="Ours by now.")
    import_module("repertoire.migrations.0001_music_and_marking_forms").add_forms(apps, None)
    assert Rubric.objects.count() == 5
    assert Caption.objects.count() == 6 + 3 + 5 + 4
    assert Rubric.objects.get(name="Etude form").notes == "Ours by now."


def test_shipped_forms_come_in_common_shapes():
    three = Rubric.objects.get(name="Three captions of ten").captions.all()
    assert [(each.low, each.high, each.step) for each in three] == [(1, 10, 1)] * 3
    five = Rubric.objects.get(name="Five captions of five, in half steps").captions.all()
    assert [(each.low, each.high, each.step) for each in five] == [(1, 5, Decimal("0.5"))] * 5
    scales = Rubric.objects.get(name="Scales by octaves")
    assert scales.serves == Rubric.Serves.SCALE
    assert scales.captions.first().levels[1] == ("2", "two octaves.")
    assert [each.name for each in scales.deciding_captions][:2] == ["Evenness", "Octaves going up"]
    for caption in (*three, *five, *scales.captions.all()):
        caption.check_mark(caption.high)
        assert all(marks and words for marks, words in caption.levels)
