from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from recordings.backup.box import Box, SealedBox, key_in
from recordings.backup.restore import Restored, restore
from recordings.backup.trouble import BackupTrouble
from recordings.upload import audit


class Command(BaseCommand):
    help = "Put a backup back into an empty database and the folder of sounds; then run the three parts."
    # The database is empty, and perhaps of another age.
    requires_system_checks = ()

    def add_arguments(self, parser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument("--key", type=Path, metavar="FILE", help="the SECRET_KEY that was kept apart")
        parser.add_argument("--encrypt", type=Path, metavar="FILE", help="the key its files are sealed with")
        parser.add_argument("--other-key", action="store_true", help="the key is lost: go on with a new one")

    def handle(self, folder: Path, key: Path | None, encrypt: Path | None, other_key: bool, **_more) -> None:
        try:
            kept_key = key.read_text(encoding="utf-8").strip() if key else ""
            box = SealedBox(key_in(encrypt)) if encrypt else Box()
            report = restore(folder, box, key=kept_key, other_key=other_key)
        except BackupTrouble as trouble:
            raise CommandError(str(trouble)) from trouble
        except OSError as error:
            raise CommandError(f"{error.strerror}: {error.filename or folder}. Run it again.") from error
        self.stdout.write(f"The database and {report.files} files are back, after {report.seconds:.1f} s.")
        if report.deleted:
            self.stdout.write(f"{report.deleted} takes were deleted while the backup was taken, and stay so.")
        self._tell(report)

    def _tell(self, report: Restored) -> None:
        for what, names in (
            ("is not in the backup", report.missing),
            ("is damaged in the backup", report.spoiled),
            ("lies there with other bytes and was left as it is", report.other),
        ):
            for name in names:
                self.stdout.write(f"{name} {what}.")
        found = audit.look(at_once=True)
        for sentence in found.sentences():
            self.stdout.write(sentence)
        if not found.is_well:
            raise CommandError("Not all of it is whole; what is missing stands above.")
        self.stdout.write("Every take has its sound, and every sound its take.")
