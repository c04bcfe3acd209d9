"""`manage.py load_many --students 1000 --takes 20`: a large invented studio, to measure pages with."""

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from recordings.demo.many import load_many
from recordings.demo.plan import read_plan
from studio.models import User


class Command(BaseCommand):
    help = "Fill an empty studio with many invented students and takes (rows without sounds)."

    def add_arguments(self, parser) -> None:
        parser.add_argument("--students", type=int, default=1000)
        parser.add_argument("--takes", type=int, default=20, help="takes of each student")
        parser.add_argument("--seed", type=int, default=1)

    def handle(self, *args, students: int, takes: int, seed: int, **options) -> None:
        if students < 1 or takes < 1:
            raise CommandError("--students and --takes are 1 or more.")
        if User.objects.exists():
            raise CommandError("This studio has people of its own; a large invented one needs an empty one.")
        password = read_plan()["password"]
        with transaction.atomic():
            loaded = load_many(students=students, takes=takes, seed=seed, password=password)
        self.stdout.write(
            f"{loaded.students} students and {loaded.takes} takes are loaded; sign in as "
            f"director@many.example or teacher0@many.example with {password}"
        )
