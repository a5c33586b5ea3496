"""A shop told as data: steps that go through the same services as the screens.

A scenario cannot be illegal: what the services refuse stops the telling. The
grammar is at the top of ``fixtures/hollin_lane.toml``.
"""

import tomllib
from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction

from shop.billing import services as billing
from shop.billing.models import StockItem
from shop.billing.totals import Line
from shop.desk import scenario_bench
from shop.desk import services as desk
from shop.desk.telling import Acts, Step, Telling
from shop.intake import services as intake
from shop.intake.services import ThingDraft
from shop.people import services as people
from shop.people.models import MarkupTier, Person, Role, Shop, Terms
from shop.records import services as records


@transaction.atomic
def tell(path: Path, *, now: datetime) -> Shop:
    """Make the shop and everything that happened in it."""
    story = tomllib.loads(path.read_text(encoding="utf-8"))
    shop = Shop.objects.create(**story["shop"])
    telling = Telling(shop=shop, today=now.astimezone(shop.zone))
    _terms(telling, story["terms"])
    _people(telling, story["people"])
    _stock(telling, story["stock"])
    for kind, first in story["series"].items():
        records.series_start(shop_id=shop.pk, kind=kind, first=first)
    for number, model in story["board_models"].items():
        scenario_bench.board_model(telling, number, model)
    for name, meter in story["meters"].items():
        scenario_bench.meter(telling, name, meter)
    for told in (*story["references"], *story["tickets"]):
        for step in told["steps"]:
            ACTS[step["do"]](telling, step, telling.people[step["by"]])
    return shop


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
        billing.stock_receive(item=item, by=owner, quantity=row["quantity"], cost=cost)
        telling.stock[code] = item


def _take_in(telling: Telling, step: Step, by: Person) -> None:
    who, what = step["customer"], step["device"]
    customer = intake.customer_keep(shop=telling.shop, by=by, **who)
    device = intake.device_keep(customer=customer, by=by, **what)
    promise = step.get("promise")
    telling.ticket = intake.ticket_open(
        shop=telling.shop,
        by=by,
        customer=customer,
        device=device,
        told=step["told"],
        things=[ThingDraft(kind=kind, label="") for kind in step.get("things", [])],
        consents=step.get("consents", {}),
        promise=telling.moment(promise) if promise else None,
        at=telling.at(step),
        **step.get("first_look", {}),
    )
    telling.board = telling.quote = telling.order_line = None


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
    item = telling.stock[step["stock"]]
    billing.part_use(
        ticket=telling.in_hand,
        by=by,
        name=item.name,
        quantity=step.get("quantity", 1),
        cost=item.cost,
        item=item,
        part_id=item.part_id,
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
        until=telling.today.date() + timedelta(days=step["until_in_days"]),
        because=step["because"],
        waits_for=step["waits_for"],
        at=telling.at(step),
    )


def _hand_over(telling: Telling, step: Step, by: Person) -> None:
    desk.hand_over(
        ticket=telling.in_hand, by=by, given_to=step["to"], at=telling.at(step)
    )


ACTS: Acts = {
    **scenario_bench.ACTS,
    "take in": _take_in,
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
