from getpass import getpass

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.core.validators import validate_email
from django.db import transaction

from studio.models import Role, Studio, User


class Command(BaseCommand):
    help = "Give a person an account as director; everybody else is invited from the pages."

    def add_arguments(self, parser) -> None:
        parser.add_argument("name", help="the director's name, in quotation marks")
        parser.add_argument("mail", help="the mail address to sign in with")
        parser.add_argument("--studio", default="", help="the studio's name, where none is set yet")

    def handle(self, *args, **options) -> None:
        name, mail = options["name"].strip(), options["mail"].strip().lower()
        if User.objects.filter(email=mail).exists():
            raise CommandError("There is already an account with this address.")
        password = getpass("Password (at least 10 characters): ")
        try:
            validate_email(mail)
            validate_password(password, User(email=mail, name=name))
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        if getpass("The same again: ") != password:
            raise CommandError("The two passwords differ; nothing was saved.")
        self._save(name, mail, password, options["studio"].strip())
        self.stdout.write("Saved. Sign in with this address and password.")

    @transaction.atomic
    def _save(self, name: str, mail: str, password: str, studio_name: str) -> None:
        studio = Studio.current()
        if studio.pk is None:
            studio.name = studio_name or studio.name
            studio.save()
        User.objects.create_user(mail, password, name=name).grant(Role.DIRECTOR)
