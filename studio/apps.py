from importlib import import_module

from django.apps import AppConfig


class StudioConfig(AppConfig):
    name = "studio"

    def ready(self) -> None:
        import_module("studio.setup.database_age")  # registers what refuses a database too old to upgrade
        import_module("studio.setup.sessions")  # notes when somebody signs in
        import_module("studio.services.events")  # writes the record of events
        import_module("studio.setup.proxies")  # and what remarks on an address without its proxy
