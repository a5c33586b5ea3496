"""A shop told as data: steps that go through the same services as the screens.

A scenario cannot be illegal: what the services refuse stops the telling. The
grammar is at the top of ``fixtures/hollin_lane.toml``.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from operator import itemgetter
from pathlib import Path
from typing import Any

from django.db import transaction

from shop.billing import services as billing
from shop.billing.models import StockItem
from shop.desk import (
    scenario_accounts,
    scenario_bench,
    scenario_counter,
    scenario_house,
    scenario_jobs,
    scenario_money,
    scenario_pictures,
    scenario_shelf,
)
from shop.desk import services as desk
from shop.desk.scenario_evenings import confirm_told_days
from shop.desk.telling import Acts, Step, Telling
from shop.intake import services as intake
from shop.intake.models import Customer, Device
from shop.intake.services import ThingDraft
from shop.people import services as people
from shop.people.models import FixedJob, MarkupTier, Person, Role, Shop, Terms
from shop.records import services as records

Steps = Sequence[Step]


@transaction.atomic
def tell(path: Path, *more: Path, now: datetime) -> Shop:
    """Make the shop and everything that happened in it.

    ``path`` sets the shop up; ``more`` adds to its shelf, board models and jobs.
    """
    stories = [tomllib.loads(one.read_text(encoding="utf-8")) for one in (path, *more)]
    shop = Shop.objects.create(**stories[0]["shop"])
    telling = Telling(shop=shop, today=now.astimezone(shop.zone))
    _terms(telling, stories[0]["terms"])
    _people(telling, stories[0]["people"])
    for kind, first in stories[0]["series"].items():
        records.series_start(shop_id=shop.pk, kind=kind, first=first)
    for name, meter in stories[0]["meters"].items():
        scenario_bench.meter(telling, name, meter)
    for story in stories:
        _stock(telling, story.get("stock", {}))
        for number, model in story.get("board_models", {}).items():
            scenario_bench.board_model(telling, number, model)
    for story in stories:
        scenario_house.tell(telling, story.get("house", {}))
        scenario_pictures.tell(telling, story.get("pictures", {}))
    for own, step in _in_order(telling, list(_told(telling, stories))):
        try:
            ACTS[step["do"]](own, step, telling.people[step["by"]])
        except Exception as fault:
            fault.add_note(f"told for {own.ticket} {own.board}: {step}")
            raise
    confirm_told_days(shop, telling.today)
    return shop


def _told(telling: Telling, stories: Sequence[Mapping[str, Any]]) -> Iterator[Steps]:
    """The steps of every reference board, ticket and job."""
    faults: dict[str, Any] = {}
    for story in stories:
        faults |= {k: story[k] for k in ("well", "faults") if k in story}
        for kind in ("references", "tickets", "counter"):
            for told in story.get(kind, ()):
                yield told["steps"]
        for good in story.get("goods", ()):
            yield scenario_jobs.steps_of_good(good, faults, telling.today)
        for job in story.get("jobs", ()):
            yield scenario_jobs.steps_of(job, faults, telling.today)


def _in_order(telling: Telling, told: Sequence[Steps]) -> list[tuple[Telling, Step]]:
    """All steps as they happened: each story keeps its own order within."""
    moments: list[tuple[datetime, int, int, Telling, Step]] = []
    for story, steps in enumerate(told):
        own = telling.of_its_own()
        moment = datetime.min.replace(tzinfo=telling.shop.zone)
        for place, step in enumerate(steps):
            moment = max(moment, telling.at(step))
            moments.append((moment, story, place, own, step))
    moments.sort(key=itemgetter(0, 1, 2))
    return [(own, step) for _moment, _story, _place, own, step in moments]


def _terms(telling: Telling, data: Mapping[str, Any]) -> None:
    hanging = {"markup_tiers": MarkupTier, "fixed_jobs": FixedJob}
    columns = {key: value for key, value in data.items() if key not in hanging}
    terms = Terms.objects.create(shop=telling.shop, valid_from=telling.begun, **columns)
    for key, model in hanging.items():
        for row in data.get(key, ()):
            model._default_manager.create(terms=terms, **row)


def _people(telling: Telling, data: Mapping[str, Mapping[str, Any]]) -> None:
    for username, person in data.items():
        telling.people[username] = people.person_join(
            shop=telling.shop,
            username=username,
            name=person["name"],
            password=person["password"],
            roles=[Role(role) for role in person["roles"]],
        )


def _stock(telling: Telling, data: Mapping[str, Mapping[str, Any]]) -> None:
    owner = next(iter(telling.people.values()))
    for code, row in data.items():
        cost = telling.money(row["cost"])
        item = StockItem.objects.create(
            shop=telling.shop,
            code=code,
            name=row["name"],
            part_id=row.get("part", ""),
            cost_minor=cost.minor,
            currency=telling.shop.currency,
            supplier=row.get("supplier", ""),
            reorder_at=row.get("reorder_at"),
        )
        billing.stock_receive(
            item=item,
            by=owner,
            quantity=row["quantity"],
            cost=cost,
            at=telling.today - timedelta(days=365),
        )
        telling.stock[code] = item


def _take_in(telling: Telling, step: Step, by: Person) -> None:
    customer = telling.customer(step["customer"], by)
    promise, agreed = step.get("promise"), step.get("pre_approved")
    rest = dict(step.get("rest", {}))
    for name in ("returns_to", "came_with"):
        if name in rest:
            rest[name] = telling.tickets[rest[name]]
    telling.ticket = intake.ticket_open(
        shop=telling.shop,
        by=by,
        customer=customer,
        device=_device(telling, customer, step["device"], by),
        told=step["told"],
        things=_things(step),
        consents=step.get("consents", {}),
        promise=telling.moment(promise) if promise else None,
        pre_approved=telling.money(agreed) if agreed else None,
        brought=step.get("brought", {}),
        at=telling.at(step),
        **step.get("first_look", {}),
        **rest,
    )
    telling.tickets[step["device"].get("serial", "")] = telling.ticket
    if telling.places:
        machine = telling.ticket.things.earliest("tag")
        place = telling.places[telling.ticket.serial % len(telling.places)]
        intake.thing_move(thing=machine, by=by, place=place, at=telling.at(step))


def _device(
    telling: Telling, customer: Customer, what: Mapping[str, Any], by: Person
) -> Device:
    serial = what.get("serial", "")
    if serial not in telling.devices or not serial:
        device = intake.device_keep(customer=customer, by=by, **what)
        telling.devices[serial] = device
    return telling.devices[serial]


def _things(step: Step) -> list[ThingDraft]:
    return [ThingDraft(kind=kind) for kind in step.get("things", [])]


def _finish(telling: Telling, step: Step, by: Person) -> None:
    intake.intake_finish(
        ticket=telling.in_hand,
        by=by,
        answers=step.get("answers", {}),
        things=_things(step),
        serial=step.get("serial", ""),
        at=telling.at(step),
    )


def _unpack(telling: Telling, step: Step, by: Person) -> None:
    intake.parcel_unpack(
        ticket=telling.in_hand,
        by=by,
        answers=step.get("answers", {}),
        things=_things(step),
        seen=step["seen"],
        at=telling.at(step),
    )


def _decide(telling: Telling, step: Step, by: Person) -> None:
    intake.warranty_decide(
        ticket=telling.in_hand,
        by=by,
        is_covered=step["is_covered"],
        reason=step["reason"],
        at=telling.at(step),
    )


def _data_safe(telling: Telling, step: Step, by: Person) -> None:
    intake.data_safe_record(
        ticket=telling.in_hand, by=by, how=step["how"], at=telling.at(step)
    )


def _write(telling: Telling, step: Step, by: Person) -> None:
    for kind, text in step["story"].items():
        intake.story_write(
            ticket=telling.in_hand, by=by, kind=kind, text=text, at=telling.at(step)
        )


def _end(telling: Telling, step: Step, by: Person) -> None:
    intake.outcome_record(
        ticket=telling.in_hand,
        by=by,
        kind=step["kind"],
        no_fix_reason=step.get("no_fix_reason", ""),
        at=telling.at(step),
    )


def _tell_customer(telling: Telling, step: Step, by: Person) -> None:
    intake.customer_told(
        ticket=telling.in_hand,
        by=by,
        channel=step["channel"],
        next_contact=None,
        at=telling.at(step),
    )


def _promise(telling: Telling, step: Step, by: Person) -> None:
    intake.promise_make(
        ticket=telling.in_hand,
        by=by,
        promise=telling.moment(step["ready"]),
        at=telling.at(step),
    )


def _park(telling: Telling, step: Step, by: Person) -> None:
    intake.ticket_park(
        ticket=telling.in_hand,
        by=by,
        until=_until(telling, step),
        because=step["because"],
        waits_for=step["waits_for"],
        at=telling.at(step),
    )


def _until(telling: Telling, step: Step) -> datetime | None:
    if "for_hours" in step:
        return telling.at(step) + timedelta(hours=step["for_hours"])
    if "until_in_days" not in step:
        return None
    return telling.moment({"day": step["until_in_days"], "time": "09:00"})


def _unpark(telling: Telling, step: Step, by: Person) -> None:
    intake.ticket_unpark(ticket=telling.in_hand, by=by, at=telling.at(step))


def _hand_over(telling: Telling, step: Step, by: Person) -> None:
    owing = step.get("owing", "")
    desk.hand_over(
        ticket=telling.in_hand,
        by=by,
        given_to=step["to"],
        owing_reason=owing,
        may_owe=bool(owing),
        at=telling.at(step),
    )


ACTS: Acts = {
    **scenario_bench.ACTS,
    **scenario_money.ACTS,
    **scenario_accounts.ACTS,
    **scenario_counter.ACTS,
    **scenario_shelf.ACTS,
    "take in": _take_in,
    "finish": _finish,
    "unpack": _unpack,
    "decide": _decide,
    "data safe": _data_safe,
    "promise": _promise,
    "unpark": _unpark,
    "write": _write,
    "end": _end,
    "tell customer": _tell_customer,
    "park": _park,
    "hand over": _hand_over,
}
