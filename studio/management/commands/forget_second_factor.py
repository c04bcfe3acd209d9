"""For the last director whose phone is lost, with the recovery codes."""

from django.core.management.base import BaseCommand, CommandError

from studio.models import User
from studio.services.second_factor import forget_second_factor


class Command(BaseCommand):
    help = (
        "Switches a person's second factor off and signs them out; they can sign in and set up another one."
    )

    def add_arguments(self, parser) -> None:
        parser.add_argument("mail", help="the address the person signs in with")

    def handle(self, mail: str, **_options) -> None:
        user = User.objects.with_address(mail)
        if user is None or not forget_second_factor(user):
            raise CommandError("Nobody with this address has a second factor.")
        self.stdout.write("It is off. The person was told by mail.")
