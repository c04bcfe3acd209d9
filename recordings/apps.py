from importlib import import_module

from django.apps import AppConfig


class RecordingsConfig(AppConfig):
    name = "recordings"

    def ready(self) -> None:
        import_module("recordings.takes.lifetime")  # registers what happens to the sound of a deleted take
