import json

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from studio.models import Role, Studio
from studio.setup.start import Place, StartError, run


class Command(BaseCommand):
    help = "Run the web server, the workers and the scheduler together until Ctrl-C (address: HOST and PORT)."

    def handle(self, *args, **options) -> None:
        place = Place.from_environment()
        self._say("Starting the web server, the workers and the scheduler ...")
        try:
            run(place, on_ready=lambda: self._tell(place), say=self._say)
        except StartError as error:
            raise CommandError(str(error)) from error
        self.stdout.write("All stopped.")

    def _tell(self, place: Place) -> None:
        lines = [f"  Fairhearing is open at {place.address}", *sign_in_lines(), *mail_lines()]
        self._say("\n".join(["", *lines, "  Ctrl-C stops it.", ""]))

    def _say(self, sentence: str) -> None:
        self.stdout.write(sentence)
        self.stdout.flush()


def sign_in_lines() -> list[str]:
    """How to sign in: one demo person a role, or where the first director comes from."""
    studio = Studio.objects.first()
    if studio is None:
        return ["  No studio yet: python manage.py load_demo loads the invented one."]
    if not studio.invented:
        return []
    demo = json.loads((settings.BASE_DIR / "fixtures" / "season.json").read_text(encoding="utf-8"))
    people = [f"    {role.label:<10} {role.value}@demo.example" for role in Role]
    return [
        "  The demo season is loaded; everyone in it is invented. Sign in as",
        *people,
        f"  with the password {demo['password']}",
    ]


def mail_lines() -> list[str]:
    """Where invitations and sign-in codes go while no mail server is named."""
    return [] if settings.EMAIL_HOST else [f"  Mail is written to files in {settings.EMAIL_FILE_PATH}"]
