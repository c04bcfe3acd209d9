import json

from django.core.management.base import BaseCommand

from studio.services.inventory import inventory


class Command(BaseCommand):
    help = "Print what the program is built of, with versions and licences (CycloneDX 1.6, JSON)."
    # It asks no database.
    requires_system_checks = ()

    def handle(self, *_args, **_options) -> None:
        self.stdout.write(json.dumps(inventory(), indent=1))
