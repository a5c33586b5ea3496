from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"
