"""The bench: /bench/."""

from django.urls import path

from diagnostics import (
    advice_views,
    board_photos,
    calculator_views,
    donors_views,
    finder_views,
    lore_views,
    machine_views,
    meter_views,
    offer_views,
    part_views,
    proof_views,
    sheet_views,
    tablet_views,
    views,
    walk_views,
)

app_name = "diagnostics"
urlpatterns = [
    path("", views.bench, name="bench"),
    path("tablet/", tablet_views.tablet, name="tablet"),
    path("away/", tablet_views.away, name="away"),
    path("advice/", advice_views.advice, name="advice"),
    path("lore/", lore_views.lores, name="lores"),
    path("lore/<int:board_model_id>/differs/", lore_views.differs, name="differs"),
    path("donors/<int:donor_id>/paper/", donors_views.donor_paper, name="donor_paper"),
    path("donors/<int:donor_id>/", donors_views.taken_off, name="taken_off"),
    path(
        "lore/<int:board_model_id>/circuits/",
        finder_views.model_circuits,
        name="model_circuits",
    ),
    *(
        path(
            f"lore/<int:board_model_id>/circuits/{act}/",
            getattr(finder_views, f"circuits_{act}"),
            name=f"circuits_{act}",
        )
        for act in ("mark", "undo", "say", "outline", "picture")
    ),
    path(
        "lore/<int:board_model_id>/circuits/marks/<int:mark_id>/away/",
        finder_views.circuits_away,
        name="circuits_away",
    ),
    path("pictures/<int:picture_id>.jpg", finder_views.picture, name="picture"),
    path("families/", offer_views.families, name="families"),
    path("meters/", meter_views.meters, name="meters"),
    path("meters/new/", meter_views.meter_new, name="meter_new"),
    path("meters/<int:meter_id>/", meter_views.meter, name="meter"),
    path("reference/", views.references, name="references"),
    path("<str:number>/board/", views.board_join, name="board_join"),
    path("<str:number>/proof/", proof_views.proof, name="proof"),
    path("<str:number>/proof/ticks/", proof_views.proof_ticks, name="proof_ticks"),
    path(
        "<str:number>/proof/run/", proof_views.proof_run_start, name="proof_run_start"
    ),
    path(
        "<str:number>/proof/run/<int:machine_run_id>/",
        proof_views.proof_run_answer,
        name="proof_run_answer",
    ),
    path("<str:number>/proof/level/", proof_views.proof_level, name="proof_level"),
    path(
        "<str:number>/proof/photos/",
        proof_views.proof_photos_choose,
        name="proof_photos",
    ),
    path("<str:number>/proof/end/", proof_views.proof_end, name="proof_end"),
    path("<str:number>/proof-sheet.pdf", proof_views.proof_sheet, name="proof_sheet"),
    path("<str:number>/<int:board_id>/", views.board, name="board"),
    path(
        "<str:number>/<int:board_id>/reading/", views.reading_take, name="reading_take"
    ),
    path(
        "<str:number>/<int:board_id>/strike/<int:reading_id>/",
        views.reading_strike,
        name="reading_strike",
    ),
    path("<str:number>/<int:board_id>/sheet/", sheet_views.sheet, name="sheet"),
    path("<str:number>/<int:board_id>/cards/", tablet_views.cards, name="cards"),
    path("<str:number>/<int:board_id>/live/", tablet_views.live, name="live"),
    path("<str:number>/<int:board_id>/photos/", board_photos.photos, name="photos"),
    path(
        "<str:number>/<int:board_id>/circuits/",
        finder_views.circuits,
        name="circuits",
    ),
    path(
        "<str:number>/<int:board_id>/gate/", views.gate_overrule, name="gate_overrule"
    ),
    path(
        "<str:number>/<int:board_id>/stands/",
        walk_views.condition_set,
        name="condition_set",
    ),
    path(
        "<str:number>/<int:board_id>/passed-by/",
        walk_views.check_pass_by,
        name="check_pass_by",
    ),
    path("<str:number>/<int:board_id>/done/", views.intervention, name="intervention"),
    path("<str:number>/<int:board_id>/data-safe/", views.data_safe, name="data_safe"),
    path("<str:number>/<int:board_id>/finding/", views.finding, name="finding"),
    path(
        "<str:number>/<int:board_id>/suspects/",
        advice_views.suspects,
        name="suspects",
    ),
    path(
        "<str:number>/<int:board_id>/suspects/name/",
        advice_views.suspect_name,
        name="suspect_name",
    ),
    path(
        "<str:number>/<int:board_id>/suspects/word/",
        advice_views.suspect_word,
        name="suspect_word",
    ),
    path("<str:number>/<int:board_id>/seen/", advice_views.sighting, name="sighting"),
    path(
        "<str:number>/<int:board_id>/seen/<int:sighting_id>/strike/",
        advice_views.sighting_strike,
        name="sighting_strike",
    ),
    path("<str:number>/<int:board_id>/good/", lore_views.lore_keep, name="lore_keep"),
    path(
        "<str:number>/<int:board_id>/not-fitted/", views.not_fitted, name="not_fitted"
    ),
    path(
        "<str:number>/<int:board_id>/calculators/",
        calculator_views.calculators,
        name="calculators",
    ),
    path(
        "<str:number>/<int:board_id>/calculators/<str:calculator_id>/",
        calculator_views.calculator,
        name="calculator",
    ),
    path("<str:number>/<int:board_id>/take/", views.board_take, name="board_take"),
    path(
        "<str:number>/<int:board_id>/put-down/",
        views.board_put_down,
        name="board_put_down",
    ),
    path(
        "<str:number>/<int:board_id>/machine/",
        machine_views.machine_start,
        name="machine_start",
    ),
    path(
        "<str:number>/<int:board_id>/machine/<int:machine_id>/end/",
        machine_views.machine_end,
        name="machine_end",
    ),
    path(
        "<str:number>/<int:board_id>/part/",
        part_views.part_test_new,
        name="part_test_new",
    ),
    path(
        "<str:number>/<int:board_id>/part/<int:test_id>/",
        part_views.part_test,
        name="part_test",
    ),
    path(
        "<str:number>/<int:board_id>/part/<int:test_id>/step/",
        part_views.part_step,
        name="part_step",
    ),
    path(
        "<str:number>/<int:board_id>/part/<int:test_id>/back/",
        part_views.part_step_back,
        name="part_step_back",
    ),
    path(
        "<str:number>/<int:board_id>/controller/",
        part_views.controller,
        name="controller",
    ),
]
