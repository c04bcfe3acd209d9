"""`manage.py rebuild_readiness`: what lists know of takes, made anew from the takes themselves."""

from django.core.management.base import BaseCommand

from recordings.readiness.keeping import rebuild


class Command(BaseCommand):
    help = "Make anew, from takes and answers, what lists keep of them; says how much was missing or wrong."

    def handle(self, *args, **options) -> None:
        wrong = rebuild()
        self.stdout.write("Everything was right." if not wrong else f"{wrong} rows were missing or wrong.")
