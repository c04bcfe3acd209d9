from django.core.management.base import BaseCommand

from recordings.upload.left_behind import sweep_sounds, unclaimed_sounds


class Command(BaseCommand):
    help = "Name the sounds older than a day that belong to no take; with --delete, delete them all."

    def add_arguments(self, parser) -> None:
        parser.add_argument("--delete", action="store_true", help="only where the database is the right one")

    def handle(self, *args, delete: bool, **options) -> None:
        names = unclaimed_sounds()
        for name in names:
            self.stdout.write(name)
        if delete:
            sweep_sounds(however_many=True)
        self.stdout.write(f"{len(names)} sounds without a take{' were deleted' if delete else ''}.")
