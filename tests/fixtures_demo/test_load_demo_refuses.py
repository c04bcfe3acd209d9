"""`manage.py load_demo` never adds invented people to a studio of real ones."""

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from studio.models import Studio, User

pytestmark = pytest.mark.django_db


def test_a_studio_with_people_of_its_own_is_left_alone():
    User.objects.create_user("someone@studio.example", name="Someone")
    call_command("load_demo", "--if-empty")
    with pytest.raises(CommandError, match="people of its own"):
        call_command("load_demo")
    assert not Studio.objects.exists()
