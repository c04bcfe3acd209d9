from django.core.management.base import BaseCommand, CommandError

from recordings.upload import audit


class Command(BaseCommand):
    help = "Name every take without its sound and every sound without its take; /healthz knows the result."

    def handle(self, *args, **options) -> None:
        found = audit.look()
        for sentence in found.sentences():
            self.stdout.write(sentence)
        if not found.is_well:
            raise CommandError("Bring what is missing back from the last backup.")
        self.stdout.write("Every take has its sound, and every sound its take.")
