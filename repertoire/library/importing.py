"""Taking in a folder that another studio shared: all of it, or nothing with a sentence why."""

import json
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.db import transaction

from repertoire.library import sharing
from repertoire.library.intake import keep_music
from repertoire.models import BarNote, Caption, Excerpt, Rubric
from repertoire.notation import messages
from repertoire.notation.order.forms import describe, play
from repertoire.notation.read.archive import members_of
from repertoire.notation.read.reading import read_score_in_child
from repertoire.notation.score import BadScore

MOST_NOTES, MOST_CAPTIONS = 2000, 60
JSON_BYTES = 4_000_000
DECIMALS = {"marked_bpm", "low", "high", "step", "weight"}


@dataclass(frozen=True, slots=True)
class ImportedFolder:
    """What came in, for the page to tell."""

    excerpt: Excerpt
    music_is_new: bool
    notes_new: int
    notes_known: int
    rubric: Rubric | None
    rubric_is_new: bool
    order_differs: bool


def import_folder(data: bytes, user) -> ImportedFolder:
    """Read a shared zip and keep it in one transaction; raises `BadScore` with a sentence."""
    files = members_of(data, (sharing.SCORE, sharing.ABOUT, sharing.NOTES, sharing.RUBRIC))
    about = _document(files, sharing.ABOUT)
    noted = _entries(_document(files, sharing.NOTES), sharing.NOTES, "notes", MOST_NOTES)
    marking = _document(files, sharing.RUBRIC) if sharing.RUBRIC in files else None
    if sharing.SCORE not in files:
        raise BadScore(messages.SHARED_MISSING(name=sharing.SCORE))
    fields = _fields(about, sharing.EXCERPT_FIELDS, sharing.ABOUT)
    _checked(Excerpt(**fields), sharing.ABOUT, sharing.EXCERPT_FIELDS)
    canonical = read_score_in_child(files[sharing.SCORE])
    with transaction.atomic():
        excerpt, is_new = keep_music(canonical, **fields)
        added = [_import_note(excerpt, entry, user) for entry in noted]
        rubric, rubric_is_new = _import_rubric(marking)
    forms = about.get("forms")
    printed = forms.get("as_printed") if isinstance(forms, dict) else None
    return ImportedFolder(
        excerpt, is_new, sum(added), len(added) - sum(added), rubric, rubric_is_new,
        order_differs=printed != describe(play(canonical.score)),
    )  # fmt: skip


def _document(files: dict[str, bytes], name: str) -> dict:
    if name not in files:
        raise BadScore(messages.SHARED_MISSING(name=name))
    try:
        if len(files[name]) > JSON_BYTES:
            raise ValueError
        document = json.loads(files[name])
    except (ValueError, RecursionError) as error:
        raise BadScore(messages.SHARED_NOT_JSON(name=name)) from error
    if not isinstance(document, dict):
        raise BadScore(messages.SHARED_NOT_JSON(name=name))
    if document.get("version") != sharing.VERSION:
        version = str(document.get("version"))[:20]
        raise BadScore(messages.SHARED_NEWER(version=version, known=sharing.VERSION))
    return document


def _entries(document: dict, name: str, field: str, limit: int) -> list[dict]:
    entries = document.get(field)
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise BadScore(messages.SHARED_FIELD(name=name, field=field, why=""))
    if len(entries) > limit:
        raise BadScore(messages.SHARED_MANY(name=name, limit=limit))
    return entries


def _fields(document: dict, names: tuple[str, ...], file: str) -> dict:
    """Only the fields this version knows, each of its type; anything else in the file is passed over."""
    fields: dict = {}
    for name in names:
        value = document.get(name)
        if not isinstance(value, str) or not _can_be_kept(value):
            raise BadScore(messages.SHARED_FIELD(name=file, field=name, why=""))
        fields[name] = _decimal(value, name, file) if name in DECIMALS else value
    return fields


def _can_be_kept(text: str) -> bool:
    """JSON may spell a nought or half of a pair of code units, which no database keeps."""
    return "\x00" not in text and not any("\ud800" <= letter <= "\udfff" for letter in text)


def _decimal(text: str, name: str, file: str) -> Decimal:
    try:
        number = Decimal(text)
    except InvalidOperation as error:
        raise BadScore(messages.SHARED_FIELD(name=file, field=name, why="")) from error
    if not number.is_finite():
        raise BadScore(messages.SHARED_FIELD(name=file, field=name, why=""))
    return number


def _checked(row, file: str, names: tuple[str, ...]) -> None:
    skipped = [field.name for field in row._meta.fields if field.name not in names]
    try:
        row.clean_fields(exclude=skipped)
        for name in names:
            _check_length(row, name)
        if not isinstance(row, Excerpt):
            row.clean()
            row.validate_constraints(exclude=["rubric"])
    except ValidationError as error:
        field, reasons = next(iter(error.message_dict.items()))
        raise BadScore(messages.SHARED_FIELD(name=file, field=field, why=reasons[0])) from error


def _check_length(row, name: str) -> None:
    """Django holds only forms to the length of a long text, not rows."""
    longest, value = row._meta.get_field(name).max_length, getattr(row, name)
    if longest and isinstance(value, str):
        try:
            MaxLengthValidator(longest)(value)
        except ValidationError as error:
            raise ValidationError({name: error.messages}) from error


def _import_note(excerpt: Excerpt, entry: dict, user) -> bool:
    """Whether the note is new here; one that says the same at the same bars is known already."""
    fields = _fields(entry, sharing.NOTE_FIELDS, sharing.NOTES)
    note = BarNote(excerpt=excerpt, author=user, **fields)
    _checked(note, sharing.NOTES, sharing.NOTE_FIELDS)
    kept = {name: getattr(note, name) for name in sharing.NOTE_FIELDS}
    if excerpt.bar_notes.filter(**kept).exists():
        return False
    note.save()
    return True


def _import_rubric(document: dict | None) -> tuple[Rubric | None, bool]:
    if document is None:
        return None, False
    fields = _fields(document, sharing.RUBRIC_FIELDS, sharing.RUBRIC)
    entries = _entries(document, sharing.RUBRIC, "captions", MOST_CAPTIONS)
    captions = [_fields(entry, sharing.CAPTION_FIELDS, sharing.RUBRIC) for entry in entries]
    rubric = Rubric(**fields)
    _checked(rubric, sharing.RUBRIC, sharing.RUBRIC_FIELDS)
    for caption in captions:
        _checked(Caption(rubric=rubric, **caption), sharing.RUBRIC, sharing.CAPTION_FIELDS)
    known = sharing.same_rubric(document)
    if known is not None:
        return known, False
    rubric.save()
    for position, caption in enumerate(captions, start=1):
        Caption.objects.create(rubric=rubric, position=position, **caption)
    return rubric, True
