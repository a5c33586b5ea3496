from django.apps import AppConfig


class DiagnosticsConfig(AppConfig):
    name = "diagnostics"

    def ready(self) -> None:
        """Models are ready now: our codes, and what we do when, have their names."""
        from diagnostics import (  # noqa: PLC0415
            calibrating,
            clouds_of_models,
            event_codes,
            holding,
            queries,
        )
        from diagnostics.leaving import person_left  # noqa: PLC0415
        from diagnostics.proof_closing import refuse_unproven  # noqa: PLC0415
        from diagnostics.sayings import code_name  # noqa: PLC0415
        from diagnostics.services import parking  # noqa: PLC0415
        from diagnostics.words import plain  # noqa: PLC0415
        from shop.intake import (  # noqa: PLC0415
            event_words,
            promising,
            read_out_words,
            settings_words,
        )
        from shop.records import jobs, warming  # noqa: PLC0415
        from shop.records import services as records  # noqa: PLC0415
        from shop.records.kinds import Kind  # noqa: PLC0415

        event_words.codes_named_by(code_name)
        event_words.codes_named_by(event_codes.name_of)
        settings_words.named_by(event_codes.family_named)
        read_out_words.faults_named_by(plain.fault)
        promising.families_by(queries.families_of)
        records.when(Kind.PERSON_LEFT, person_left)
        records.when(Kind.PARKED, parking.put_down)
        records.when(Kind.OUTCOME_RECORDED, refuse_unproven)
        jobs.every("make clouds", 300.0, clouds_of_models.job)
        warming.before_serving(holding.make_ready)
        warming.before_serving(calibrating.make_ready)
