from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self) -> None:
        from diagnostics.sayings import code_name  # noqa: PLC0415  models are ready now
        from diagnostics.services import parking  # noqa: PLC0415
        from shop.intake import words  # noqa: PLC0415
        from shop.records import services as records  # noqa: PLC0415
        from shop.records.kinds import Kind  # noqa: PLC0415

        words.codes_named_by(code_name)
        records.when(Kind.PARKED, parking.put_down)
