"""What a scenario tells of the bench: models, meters, boards and their readings."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Any

from diagnostics import services as bench
from diagnostics.engine.meter_lines import AccuracyLine, ranges_of
from diagnostics.models import DonorPaper, Origin
from shop.desk.telling import Acts, Step, Telling
from shop.people.models import Person


def board_model(telling: Telling, number: str, data: Mapping[str, Any]) -> None:
    owner = next(iter(telling.people.values()))
    model = bench.board_model_keep(
        shop=telling.shop,
        by=owner,
        number=number,
        family=data["family"],
        name=data["name"],
    )
    for key, new in data.get("patches", {}).items():
        bench.board_model_patch(board_model=model, by=owner, key=key, new=new)


def meter(telling: Telling, name: str, data: Mapping[str, Any]) -> None:
    """A meter from its manual's lines, its calibration due in so many days."""
    lines = [AccuracyLine(*line) for line in data["lines"]]
    telling.meters[name] = bench.meter_keep(
        shop=telling.shop,
        by=next(iter(telling.people.values())),
        name=data["name"],
        ranges=ranges_of(
            replace(line, full_scales=tuple(line.full_scales)) for line in lines
        ),
        calibration_due=telling.today.date() + timedelta(days=data["due_in_days"]),
        at=telling.today - timedelta(days=365),
    )


def _reference(telling: Telling, step: Step, by: Person) -> None:
    telling.ticket = None
    telling.board = bench.reference_board_keep(
        board_model=telling.shop.board_models.get(number=step["board_model"]),
        by=by,
        origin=step["origin"],
        serial=step["serial"],
        at=telling.at(step),
    )
    if telling.board.origin == Origin.DONOR:
        bench.donor_paper_keep(
            board=telling.board,
            by=by,
            kind=DonorPaper.Kind.LEFT,
            reference=f"DP-{telling.board.pk}",
            at=telling.at(step),
        )


def _take_off(telling: Telling, step: Step, by: Person) -> None:
    bench.part_take_off(
        board=telling.on_bench,
        by=by,
        part_id=step["part"],
        place=step.get("place", ""),
        at=telling.at(step),
    )


def _join(telling: Telling, step: Step, by: Person) -> None:
    model = telling.shop.board_models.get(number=step["board_model"])
    telling.board = bench.board_join(
        ticket=telling.in_hand,
        by=by,
        board_model=model,
        serial=step.get("serial", ""),
        at=telling.at(step),
    )


def _read(telling: Telling, step: Step, by: Person) -> None:
    """One reading, or several of one minute: ``points = {"k06/main" = "0.4"}``."""
    meter = telling.meters[step["meter"]] if "meter" in step else None
    taken: list[Any] = [
        {
            "point_id": point_id,
            "taken_at": telling.at(step) + timedelta(seconds=20 * number),
            "meter": meter,
            "category" if typed.startswith("=") else "typed": typed.removeprefix("="),
            **step.get("with", {}),
        }
        for number, (point_id, typed) in enumerate(step["points"].items())
    ]
    bench.readings_take(
        board=telling.on_bench, ticket=telling.ticket, by=by, taken=taken
    )


def _see(telling: Telling, step: Step, by: Person) -> None:
    bench.sighting_keep(
        board=telling.on_bench,
        ticket=telling.in_hand,
        by=by,
        kind=step["kind"],
        part_id=step.get("part", ""),
        rail_id=step.get("rail", ""),
        place=step.get("place", ""),
        at=telling.at(step),
    )


def _suspect(telling: Telling, step: Step, by: Person) -> None:
    bench.suspect_name(
        board=telling.on_bench,
        ticket=telling.in_hand,
        by=by,
        part_id=step["part"],
        mode_id=step["mode"],
        at=telling.at(step),
    )


def _intervene(telling: Telling, step: Step, by: Person) -> None:
    bench.intervention_do(
        board=telling.on_bench,
        ticket=telling.in_hand,
        by=by,
        kind=step["kind"],
        part_id=step.get("part", ""),
        place=step.get("place", ""),
        disk=step.get("disk", ""),
        at=telling.at(step),
    )


def _find(telling: Telling, step: Step, by: Person) -> None:
    bench.finding_confirm(
        board=telling.on_bench,
        ticket=telling.in_hand,
        by=by,
        part_id=step.get("part", ""),
        mode_id=step.get("mode", ""),
        cause=step.get("cause", "part"),
        place=step.get("place", ""),
        is_proven=step.get("is_proven", False),
        at=telling.at(step),
    )


def _prove(telling: Telling, step: Step, by: Person) -> None:
    for item, how_much in step["items"].items():
        bench.proof_item_record(
            ticket=telling.in_hand,
            by=by,
            item=item,
            result="passed",
            at=telling.at(step),
            **how_much,
        )


def _not_fitted(telling: Telling, step: Step, by: Person) -> None:
    bench.point_not_fitted(
        board=telling.on_bench,
        ticket=telling.ticket,
        by=by,
        point_id=step["what"],
        at=telling.at(step),
    )


def _put_down(telling: Telling, step: Step, by: Person) -> None:
    bench.board_put_down(
        board=telling.on_bench, ticket=telling.ticket, by=by, at=telling.at(step)
    )


def _run(telling: Telling, step: Step, by: Person) -> None:
    """Something left to run by itself for so many minutes."""
    at = telling.at(step)
    run = bench.machine_run_start(
        ticket=telling.in_hand,
        board=telling.on_bench,
        by=by,
        kind=step["kind"],
        at=at,
    )
    ended_at = at + timedelta(minutes=step["minutes"])
    bench.machine_run_end(run=run, by=by, at=ended_at)


ACTS: Acts = {
    "reference": _reference,
    "take off": _take_off,
    "join": _join,
    "not fitted": _not_fitted,
    "read": _read,
    "see": _see,
    "suspect": _suspect,
    "intervene": _intervene,
    "find": _find,
    "prove": _prove,
    "put down": _put_down,
    "run": _run,
}
