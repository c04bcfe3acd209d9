from django.core.management.base import BaseCommand
from django.utils import timezone

from recordings.takes.lifetime import delete_expired, expired_takes


class Command(BaseCommand):
    help = "Delete the takes, sounds and reviews of seasons that are kept no longer (see each season)."

    def add_arguments(self, parser) -> None:
        parser.add_argument("--only-count", action="store_true", help="say how many, and delete nothing")

    def handle(self, *args, only_count: bool, **options) -> None:
        today = timezone.localdate()
        if only_count:
            self.stdout.write(f"{expired_takes(today).count()} takes are kept no longer.")
            return
        self.stdout.write(f"{delete_expired(today)} takes were deleted with their sounds and reviews.")
