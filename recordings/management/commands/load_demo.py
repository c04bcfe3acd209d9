"""`manage.py load_demo`: the invented demo season, once."""

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from recordings.demo.beside import load_beside
from recordings.demo.left import load_left
from recordings.demo.music import load_auditions, load_excerpts, load_season
from recordings.demo.panel import load_panels
from recordings.demo.people import load_people, load_students, load_studio
from recordings.demo.plan import Calendar, read_plan
from recordings.demo.sight import load_sight_readings
from recordings.demo.takes import load_takes
from studio.models import Role, Studio, User


class Command(BaseCommand):
    help = "Load the invented demo season. Does nothing where it is loaded already."

    def add_arguments(self, parser) -> None:
        parser.add_argument(
            "--if-empty", action="store_true", help="stay silent where there are people already"
        )

    def handle(self, *args, if_empty: bool, verbosity: int, **options) -> None:
        if Studio.objects.filter(invented=True).exists():
            if not if_empty:
                self.stdout.write("The demo season is here already; nothing was changed.")
            return
        if User.objects.exists():
            if if_empty:
                return
            raise CommandError(
                "This studio has people of its own. The invented season is only for an empty one."
            )
        waiting = load()
        if verbosity:
            self.stdout.write("The demo season is loaded. Its studio, people, music and takes are invented.")
            self.stdout.write(f"{waiting} takes are left for the workers to measure.")


@transaction.atomic
def load() -> int:
    """Load everything or nothing; returns how many takes wait for the workers."""
    plan, calendar = read_plan(), Calendar.from_now()
    load_studio(plan, settings.STUDIO_TIME_ZONE)
    people = load_people(plan)
    students = load_students(plan, people, calendar)
    excerpts = load_excerpts(plan)
    season = load_season(plan, calendar)
    requirements, entries = load_auditions(plan, season, excerpts, students, calendar)
    load_beside(plan, people, students, excerpts, calendar)
    waiting = load_takes(plan, students, requirements, entries, calendar)
    load_panels(plan, people, requirements)
    load_left(User.objects.with_role(Role.DIRECTOR)[0])
    load_sight_readings(requirements, entries)
    return waiting
