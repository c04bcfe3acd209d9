"""The large invented studio: every list on it costs few queries, and what is kept of its takes is right."""

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from recordings.models import Take
from recordings.readiness.keeping import rebuild
from studio.models import User
from tests.speed.many import MOST_QUERIES, addresses


def test_every_list_of_a_large_studio_costs_few_queries(db, as_user, capsys):
    call_command("load_many", students=3, takes=9)
    assert "3 students and 27 takes are loaded" in capsys.readouterr().out
    assert (Take.objects.count(), rebuild()) == (27, 0)
    for name, (person, listed) in addresses().items():
        browser = as_user(User.objects.get(email=f"{person}@many.example"))
        with CaptureQueriesContext(connection) as queries:
            assert browser.get(listed[0]).status_code == 200, name
        assert len(queries) < MOST_QUERIES, name


def test_a_studio_with_people_is_left_alone(director):
    with pytest.raises(CommandError, match="people of its own"):
        call_command("load_many", students=1, takes=1)
