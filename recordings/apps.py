from importlib import import_module

from django.apps import AppConfig


class RecordingsConfig(AppConfig):
    name = "recordings"

    def ready(self) -> None:
        from recordings.wording.findings import FINDINGS
        from recordings.wording.leaving import LEAVING
        from recordings.wording.marks import MARKS
        from recordings.wording.recording import RECORDING
        from recordings.wording.sending import SENDING
        from repertoire.wording.templates import register

        for templates in (RECORDING, FINDINGS, MARKS, SENDING, LEAVING):
            register(templates)
        import_module("recordings.takes.lifetime")  # registers what happens to the sound of a deleted take
        import_module("recordings.upload.parts")  # and to those of a deleted piece
        import_module("recordings.readiness.following")  # keeps what lists know of takes
        import_module("recordings.sending.lifetime")  # and to files made of it
        import_module("recordings.leaving.copy_queue")
        import_module("recordings.panels.guests")  # gives guests their seat once they come
        import_module("recordings.panels.sounds")  # the same for the copies of a panel
