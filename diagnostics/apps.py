from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self) -> None:
        from diagnostics import clouds_of_models  # noqa: PLC0415  models are ready now
        from diagnostics.sayings import code_name  # noqa: PLC0415
        from shop.intake import words  # noqa: PLC0415
        from shop.records import jobs  # noqa: PLC0415

        words.codes_named_by(code_name)
        jobs.every("make clouds", 300.0, clouds_of_models.job)
