from django.apps import AppConfig


class RepertoireConfig(AppConfig):
    name = "repertoire"
