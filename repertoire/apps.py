from django.apps import AppConfig


class RepertoireConfig(AppConfig):
    name = "repertoire"

    def ready(self) -> None:
        from repertoire.wording.scores import SCORES
        from repertoire.wording.templates import register

        register(SCORES)
