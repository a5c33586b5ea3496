"""What this room's columns hold (``shop/records/holding.py``).

Readings, verdicts and findings are of boards, and know no person: they stay. Words are
in notes, which go with their ticket; a board's own numbers go with its owner.
"""

from shop.records.holding import Table, table

TABLES: dict[str, Table] = {
    "BoardModel": table(bench="number name family", technical="id shop made_at"),
    "BoardModelRevision": table(
        staff="by", bench="key old new why at", technical="id board_model"
    ),
    "FamilyOffer": table(
        staff="by", bench="family is_offered valid_from set_at", technical="id shop"
    ),
    "Board": table(
        customer="serial marking",
        bench="board_model origin seen_at",
        technical="id shop",
        of_ticket="ticket_boards__ticket",
    ),
    "TicketBoard": table(technical="id ticket board joined_at"),
    "Meter": table(
        bench="name ranges diode_amps diode_volts calibration_due",
        technical="id shop since retired_at",
    ),
    "Reading": table(
        staff="by",
        bench="epoch check_id point_id mode polarity condition fitted source typed"
        " outcome value unit decimals digit category pattern full_scale lead_ohms"
        " is_four_wire supply_volts supply_limit_amps supply_actual_volts taken_at",
        technical="id uuid board ticket meter tablet_offset_seconds received_at"
        " tablet_sequence is_late is_from_paper is_confirmed note",
    ),
    "Calculation": table(
        staff="by",
        bench="epoch calculator_id point_id typed inputs result reasons at",
        technical="id uuid board ticket engine_version reading",
    ),
    "Intervention": table(
        staff="by",
        bench="epoch kind part_id place disk at",
        technical="id board ticket",
    ),
    "GateOverride": table(
        staff="by",
        bench="epoch check_id gate_id chip limit_amps at",
        technical="id board ticket note",
    ),
    "Finding": table(
        staff="by",
        bench="epoch cause part_id mode_id place is_proven at",
        technical="id board ticket",
    ),
    "KeptGood": table(staff="by", bench="at", technical="id reading"),
    "PartTest": table(
        staff="by",
        bench="epoch kind label setup started_at",
        technical="id uuid board ticket meter",
    ),
    "PartTestStep": table(
        staff="by",
        bench="step typed outcome value unit at",
        technical="id uuid test",
    ),
    "Advice": table(
        staff="by",
        bench="moment suspects something_else words next_check was_followed at",
        technical="id board ticket reading_ids engine_version family_hash lore_boards",
    ),
    "SuspectWord": table(
        staff="by",
        bench="epoch part_id mode_id kind chip at",
        technical="id board ticket note",
    ),
    "Sighting": table(
        staff="by",
        bench="epoch kind part_id rail_id place at",
        technical="id uuid board ticket",
    ),
    "ConditionSet": table(
        staff="by",
        bench="epoch check_id condition fitted supply_volts supply_limit_amps at",
        technical="id uuid board ticket received_at",
    ),
    "PassedBy": table(
        staff="by",
        bench="epoch check_id why at",
        technical="id uuid board ticket note received_at",
    ),
    "DonorPaper": table(staff="by", bench="kind reference at", technical="id board"),
    "TakenOff": table(bench="name", technical="id intervention for_ticket"),
    "BoardPicture": table(
        staff="by",
        bench="side outline width height at",
        technical="id board_model name",
    ),
    "BoardMark": table(
        staff="by gone_by",
        bench="kind x y size look marking rail_id at gone_at",
        technical="id uuid picture",
    ),
    "CircuitWord": table(
        staff="by", bench="circuit rail_id at", technical="id board_model marks settles"
    ),
    "MachineRun": table(
        staff="by",
        bench="kind planned_minutes started_at",
        technical="id uuid ticket board",
    ),
    "MachineEnd": table(staff="by", bench="ended_at", technical="id run"),
    "ProofItem": table(
        staff="by",
        business="item part result count minutes at",
        technical="id ticket note",
        of_ticket="ticket",
    ),
    "ProofLevel": table(
        staff="by", business="level at", technical="id ticket", of_ticket="ticket"
    ),
    "ProofPhoto": table(staff="by", technical="id ticket photo is_on at"),
}
