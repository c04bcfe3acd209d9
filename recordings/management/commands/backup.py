from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from recordings.backup.box import Box, SealedBox, key_in
from recordings.backup.make import back_up, refuse_inside, write_key
from recordings.backup.trouble import BackupTrouble


class Command(BaseCommand):
    help = "Copy the database and all sounds and pages into a folder, while people work; again into the same."

    def add_arguments(self, parser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument(
            "--key", type=Path, metavar="FILE", help="write SECRET_KEY to this file, elsewhere"
        )

        parser.add_argument(
            "--encrypt",
            type=Path,
            metavar="FILE",
            help="seal everything with the key in this file, elsewhere; a new key where there is none",
        )

    def handle(self, *args, folder: Path, key: Path | None, encrypt: Path | None, **options) -> None:
        try:
            if key:
                write_key(key, folder)
            report = back_up(folder, _box(encrypt, folder))
        except BackupTrouble as trouble:
            raise CommandError(str(trouble)) from trouble
        except OSError as error:
            raise CommandError(f"{error.strerror}: {error.filename or folder}. Run it again.") from error
        self.stdout.write(
            f"The database and {report.files} files ({report.bytes / 1e6:.1f} MB) are in {folder}, "
            f"after {report.seconds:.1f} s."
        )
        if not key:
            self.stdout.write("SECRET_KEY is not among them: keep it apart (--key FILE writes it).")
        for what, names in (
            ("has no file to keep", report.missing),
            ("is not what was handed in", report.changed),
        ):
            for name in names:
                self.stdout.write(f"{name} {what}.")
        if report.missing or report.changed:
            raise CommandError(
                f"{len(report.missing) + len(report.changed)} are not whole; all else is kept."
            )


def _box(encrypt: Path | None, folder: Path) -> Box:
    if encrypt is None:
        return Box()
    refuse_inside(encrypt, folder)
    return SealedBox(key_in(encrypt, make=True))
