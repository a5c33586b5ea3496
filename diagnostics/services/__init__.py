"""Acts of the bench. Each is one transaction: its rows, and the event of it."""

from diagnostics.services.advice import advice_keep, suspect_name, suspect_word
from diagnostics.services.boards import (
    board_join,
    board_model_keep,
    board_model_patch,
    board_put_down,
    board_take,
    board_take_back,
    point_not_fitted,
    reference_board_keep,
)
from diagnostics.services.calculations import calculation_keep
from diagnostics.services.data import data_safe_record
from diagnostics.services.donors import donor_paper_keep, part_take_off
from diagnostics.services.keeping import lore_keep
from diagnostics.services.machine import machine_run_end, machine_run_start
from diagnostics.services.meters import meter_keep
from diagnostics.services.part_tests import (
    part_step_take,
    part_step_take_back,
    part_test_start,
)
from diagnostics.services.pictures import (
    circuit_say,
    mark_set,
    mark_take_away,
    mark_undo,
    outline_keep,
    picture_keep,
)
from diagnostics.services.proof_running import proof_run_answer, proof_run_start
from diagnostics.services.proving import (
    proof_item_record,
    proof_level_choose,
    proof_photos_choose,
    proof_ticks_record,
)
from diagnostics.services.readings import (
    gate_overrule,
    known_held,
    known_with,
    reading_strike,
    reading_take,
    readings_take,
    readings_tick,
)
from diagnostics.services.seeing import sighting_keep, sighting_strike
from diagnostics.services.sheets import sheet_type_in
from diagnostics.services.walking import check_pass_by, condition_set
from diagnostics.services.work import finding_confirm, intervention_do

__all__ = [
    "advice_keep",
    "board_join",
    "board_model_keep",
    "board_model_patch",
    "board_put_down",
    "board_take",
    "board_take_back",
    "calculation_keep",
    "check_pass_by",
    "circuit_say",
    "condition_set",
    "data_safe_record",
    "donor_paper_keep",
    "finding_confirm",
    "gate_overrule",
    "intervention_do",
    "known_held",
    "known_with",
    "lore_keep",
    "machine_run_end",
    "machine_run_start",
    "mark_set",
    "mark_take_away",
    "mark_undo",
    "meter_keep",
    "outline_keep",
    "part_step_take",
    "part_step_take_back",
    "part_take_off",
    "part_test_start",
    "picture_keep",
    "point_not_fitted",
    "proof_item_record",
    "proof_level_choose",
    "proof_photos_choose",
    "proof_run_answer",
    "proof_run_start",
    "proof_ticks_record",
    "reading_strike",
    "reading_take",
    "readings_take",
    "readings_tick",
    "reference_board_keep",
    "sheet_type_in",
    "sighting_keep",
    "sighting_strike",
    "suspect_name",
    "suspect_word",
]
