"""A shop told as data: steps that go through the same services as the screens.

A scenario cannot be illegal: what the services refuse stops the telling. The
grammar is at the top of ``fixtures/hollin_lane.toml``.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from operator import itemgetter
from pathlib import Path
from typing import Any

from django.db import transaction

from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.models import StockItem
from shop.billing.totals import Line
from shop.desk import scenario_bench, scenario_jobs
from shop.desk import services as desk
from shop.desk.telling import Acts, Step, Telling
from shop.intake import services as intake
from shop.intake.models import Customer, Device
from shop.intake.services import ThingDraft
from shop.people import services as people
from shop.people.models import MarkupTier, Person, Role, Shop, Terms
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
    for own, step in _in_order(telling, list(_told(telling, stories))):
        try:
            ACTS[step["do"]](own, step, telling.people[step["by"]])
        except Exception as fault:
            fault.add_note(f"told for {own.ticket} {own.board}: {step}")
            raise
    return shop


def _told(telling: Telling, stories: Sequence[Mapping[str, Any]]) -> Iterator[Steps]:
    """The steps of every reference board, ticket and job."""
    faults: dict[str, Any] = {}
    for story in stories:
        faults |= {k: story[k] for k in ("well", "faults") if k in story}
        for told in (*story.get("references", ()), *story.get("tickets", ())):
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
    columns = {key: value for key, value in data.items() if key != "markup_tiers"}
    terms = Terms.objects.create(
        shop=telling.shop, valid_from=telling.today - timedelta(days=365), **columns
    )
    for tier in data["markup_tiers"]:
        MarkupTier.objects.create(terms=terms, **tier)


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
    customer = _customer(telling, step["customer"], by)
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


def _customer(telling: Telling, who: Mapping[str, Any], by: Person) -> Customer:
    """The one who was here before is the same customer."""
    if who["name"] not in telling.customers:
        customer = intake.customer_keep(shop=telling.shop, by=by, **who)
        telling.customers[who["name"]] = customer
    return telling.customers[who["name"]]


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


def _quote(telling: Telling, step: Step, by: Person) -> None:
    tax = Decimal(step["tax_percent"])
    lines = [
        Line.priced(
            code=line["code"],
            text=line["text"],
            quantity=Decimal(line["quantity"]),
            unit=line.get("unit", "C62"),
            unit_price=Decimal(line["price"]),
            tax_percent=tax,
            currency=telling.shop.currency,
        )
        for line in step["lines"]
    ]
    telling.quote = billing.quote_send(
        ticket=telling.in_hand,
        by=by,
        lines=lines,
        cause=step.get("cause", ""),
        risk=step.get("risk", ""),
        at=telling.at(step),
    )


def _answer(telling: Telling, step: Step, by: Person) -> None:
    if telling.quote is None:
        raise ValueError("An answer needs a quote before it.")
    billing.quote_answer(
        quote=telling.quote,
        is_yes=step["is_yes"],
        answered_by=step["answered_by"],
        channel=step["channel"],
        recorded_by=by,
        decline_reason=step.get("decline_reason", ""),
        at=telling.at(step),
    )


def _work(telling: Telling, step: Step, by: Person) -> None:
    billing.time_record(
        ticket=telling.in_hand,
        by=by,
        person=by,
        kind=step["kind"],
        minutes=step["minutes"],
        started_at=telling.at(step),
    )


def _use_part(telling: Telling, step: Step, by: Person) -> None:
    """From the shelf, or what came for this ticket: then with ``name`` and ``cost``."""
    item = telling.stock[step["stock"]] if "stock" in step else None
    billing.part_use(
        ticket=telling.in_hand,
        by=by,
        name=item.name if item else step["name"],
        quantity=step.get("quantity", 1),
        cost=item.cost if item else telling.money(step["cost"]),
        item=item,
        part_id=item.part_id if item else "",
        at=telling.at(step),
    )


def _order(telling: Telling, step: Step, by: Person) -> None:
    due = step.get("due_in_days")
    telling.order_line = billing.part_order(
        ticket=telling.in_hand,
        by=by,
        supplier=step["supplier"],
        name=step["name"],
        quantity=step.get("quantity", 1),
        price=telling.money(step["price"]),
        due_on=telling.today.date() + timedelta(days=due) if due is not None else None,
        at=telling.at(step),
    )


def _pay(telling: Telling, step: Step, by: Person) -> None:
    billing.payment_take(
        shop=telling.shop,
        by=by,
        amount=telling.money(step["amount"]),
        method=step["method"],
        ticket=telling.in_hand,
        at=telling.at(step),
    )


def _settle(telling: Telling, step: Step, by: Person) -> None:
    """Pay what is due, or give back what is too much."""
    due = money.balance(telling.in_hand).due
    if due.amount and not step.get("later"):
        billing.payment_take(
            shop=telling.shop,
            by=by,
            amount=due,
            method=step.get("method", "card"),
            ticket=telling.in_hand,
            at=telling.at(step),
        )


def _arrive(telling: Telling, step: Step, by: Person) -> None:
    if telling.order_line is None:
        raise ValueError("What arrives was ordered before.")
    billing.part_arrive(order_line=telling.order_line, by=by, at=telling.at(step))


def _credit(telling: Telling, step: Step, by: Person) -> None:
    standing = money.standing_invoice(telling.in_hand)
    if standing is None:
        raise ValueError("A credit note takes an invoice back.")
    billing.credit_note_issue(invoice=standing, by=by, at=telling.at(step))


def _end(telling: Telling, step: Step, by: Person) -> None:
    intake.outcome_record(
        ticket=telling.in_hand,
        by=by,
        kind=step["kind"],
        no_fix_reason=step.get("no_fix_reason", ""),
        at=telling.at(step),
    )


def _invoice(telling: Telling, step: Step, by: Person) -> None:
    desk.invoice_issue(ticket=telling.in_hand, by=by, at=telling.at(step))


def _tell_customer(telling: Telling, step: Step, by: Person) -> None:
    intake.customer_told(
        ticket=telling.in_hand,
        by=by,
        channel=step["channel"],
        next_contact=None,
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
    "take in": _take_in,
    "finish": _finish,
    "unpack": _unpack,
    "decide": _decide,
    "data safe": _data_safe,
    "arrive": _arrive,
    "settle": _settle,
    "credit": _credit,
    "unpark": _unpark,
    "write": _write,
    "quote": _quote,
    "answer": _answer,
    "work": _work,
    "use part": _use_part,
    "order": _order,
    "pay": _pay,
    "end": _end,
    "invoice": _invoice,
    "tell customer": _tell_customer,
    "park": _park,
    "hand over": _hand_over,
}
