"""The page of an audition's rules for sending, and the file they are shared in."""

import json
from dataclasses import asdict, fields

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from studio.forms.sending_rules import SendingRulesForm
from studio.models import SendingRules
from studio.sending.names import file_name
from studio.sending.rules import FORMATS, Rules

TYPED = {
    "files": "each",
    "picture": "sound",
    "formats": ["mp3", "m4a"],
    "longest_s": "4:30",
    "largest_mb": "20",
    "announcement": "forbidden",
    "judged_blind": "on",
    "name_pattern": "{entry}-{number}",
    "student_statement": "The playing is mine.",
    "order": "as_set",
}


@pytest.fixture
def address(audition):
    return f"/auditions/{audition.pk}/sending-rules/"


@pytest.fixture
def browser(director, as_user):
    return as_user(director)


def upload(browser, address, document):
    data = document if isinstance(document, bytes) else json.dumps(document).encode()
    return browser.post(f"{address}read/", {"file": SimpleUploadedFile("rules.json", data)})


def test_rules_are_kept_and_shown_again(browser, address, audition):
    assert browser.post(address, TYPED).status_code == 302
    rules = SendingRules.objects.get(audition=audition).rules
    assert rules == Rules(
        picture="sound",
        formats=("mp3", "m4a"),
        longest_s=270,
        largest_mb=20,
        announcement="forbidden",
        judged_blind=True,
        name_pattern="{entry}-{number}",
        student_statement="The playing is mine.",
    )
    assert 'value="4:30"' in browser.get(address).text


def test_what_a_file_of_rules_holds_comes_in_as_it_went_out(browser, address, audition):
    browser.post(address, TYPED)
    before = SendingRules.objects.get().rules
    file = browser.get(f"{address}file/")
    assert str(audition) not in file.text
    SendingRules.objects.all().delete()
    shown = upload(browser, address, file.content)
    assert not SendingRules.objects.exists()
    assert "nothing is saved" in shown.text.lower()
    form = shown.context["form"]
    assert form.is_valid()
    assert browser.post(address, form.data).status_code == 302
    assert SendingRules.objects.get().rules == before


def test_rules_read_wait_before_those_that_are_kept(browser, address):
    browser.post(address, TYPED)
    shown = upload(browser, address, document(name_pattern="{number}", longest_s=90))
    assert SendingRules.objects.get().name_pattern == "{entry}-{number}"
    assert 'value="1:30"' in shown.text


def document(**rules) -> dict:
    return {"holds": "rules for sending", "version": 1, "rules": rules}


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"not json", "holds no rules for sending"),
        (b"[1]", "holds no rules for sending"),
        (b"[" * 60_000, "holds no rules for sending"),
        ({"holds": "other", "version": 1}, "holds no rules for sending"),
        ({"holds": "rules for sending", "version": 1, "rules": []}, "holds no rules for sending"),
        ({"holds": "rules for sending", "version": 2, "rules": {}}, "another version"),
        (b" " * 70_000, "too large"),
    ],
)
def test_another_file_is_refused_beside_its_field(browser, address, data, sentence):
    shown = upload(browser, address, data)
    assert shown.status_code == 200
    assert sentence in str(shown.context["file"].errors["file"])


def test_what_this_version_does_not_know_is_named(browser, address):
    assert "most_bells" in upload(browser, address, document(most_bells=3)).text


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("files", "several"),
        ("formats", ["cassette"]),
        ("longest_s", {"seconds": 3}),
        ("largest_mb", -1),
        ("largest_mb", [1]),
        ("name_pattern", "{somebody}"),
    ],
)
def test_a_value_that_does_not_fit_is_told_beside_its_field(browser, address, name, value):
    form = upload(browser, address, document(**{name: value})).context["form"]
    assert set(form.errors) == {name}


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"name_pattern": "{student} {number}"}, "name_pattern", "take out {student}"),
        ({"name_pattern": "{music}"}, "name_pattern", "put in {number}"),
        ({"name_pattern": "{number"}, "name_pattern", "can stand in braces"),
        ({"picture": "video"}, "formats", "holds a video"),
        ({"formats": ["mp4"]}, "formats", "MP4 is a format for video"),
        ({"shortest_s": "5"}, "shortest_s", "longer than the longest"),
        ({"lowest_kbps": "320", "highest_kbps": "128"}, "lowest_kbps", "above the highest"),
        ({"longest_s": "four"}, "longest_s", "such as 4:30"),
        ({"longest_s": "4:75"}, "longest_s", "such as 4:30"),
        ({"longest_s": "0"}, "longest_s", "write a length"),
        ({"largest_mb": "0"}, "largest_mb", "greater than or equal to 1"),
    ],
)
def test_what_contradicts_is_told_beside_its_field(browser, address, changed, field, sentence):
    shown = browser.post(address, TYPED | changed)
    assert shown.status_code == 200
    assert sentence in str(shown.context["form"].errors[field])
    assert not SendingRules.objects.exists()


def test_a_model_holds_every_rule_and_its_form_asks_for_each():
    names = {field.name for field in fields(Rules)}
    columns = {field.name for field in SendingRules._meta.fields} - {"id", "audition"}
    assert names == columns == set(SendingRulesForm.Meta.fields)
    new = SendingRules()
    assert asdict(new.rules) == asdict(Rules())
    assert [key for key, _ in SendingRulesForm().fields["formats"].choices] == list(FORMATS)


@pytest.mark.parametrize(
    ("pattern", "name"),
    [
        ("{number} {music}", "2 Étude- A-B.mp3"),
        ("{entry}_{number}", "17_2.mp3"),
        ("../{music}", "Étude- A-B.mp3"),
        ("{student}", "2.mp3"),
        ("{nobody}", "2.mp3"),
    ],
)
def test_file_names_are_safe_on_every_disk(pattern, name):
    facts = {"number": "2", "music": "E\u0301tude: A/B\n", "entry": "17", "student": " ."}
    assert file_name(pattern, facts, "mp3") == name


def test_a_file_name_stays_short():
    assert len(file_name("{music}", {"music": "x" * 400}, "flac")) == 105
