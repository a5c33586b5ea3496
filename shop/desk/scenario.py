"""A shop told as data: steps that go through the same services as the screens.

A scenario cannot be illegal: what the services refuse stops the telling. The
grammar is at the top of ``fixtures/hollin_lane.toml``.
"""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction

from diagnostics import services as bench
from diagnostics.engine.meter_lines import AccuracyLine, ranges_of
from diagnostics.models import Board, Meter
from shop.billing import services as billing
from shop.billing.models import OrderLine, Quote, StockItem
from shop.billing.totals import Line
from shop.desk import services as desk
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.money import Money
from shop.people import services as people
from shop.people.models import MarkupTier, Person, Role, Shop, Terms
from shop.records import services as records

Step = Mapping[str, Any]


@dataclass
class Telling:
    """A scenario being told: who is who, and where the current ticket stands."""

    shop: Shop
    today: datetime
    people: dict[str, Person] = field(default_factory=dict)
    stock: dict[str, StockItem] = field(default_factory=dict)
    meters: dict[str, Meter] = field(default_factory=dict)
    ticket: Ticket | None = None
    board: Board | None = None
    quote: Quote | None = None
    order_line: OrderLine | None = None

    def at(self, step: Step) -> datetime:
        """``day = -3, time = "09:10"``: that many days before today, shop's time.

        A step that would lie ahead is moved to just before now, so that a demo
        started early in the morning tells no future.
        """
        return min(self.moment(step), self.today)

    def moment(self, step: Step) -> datetime:
        """The step's own day and time, also where it lies ahead: a promise."""
        hour, minute = map(int, str(step["time"]).split(":"))
        day = self.today.date() + timedelta(days=step["day"])
        return datetime.combine(day, time(hour, minute), self.shop.zone)

    def money(self, amount: str) -> Money:
        return Money.of(Decimal(amount), self.shop.currency)


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
        _board_model(telling, number, model)
    for name, meter in story["meters"].items():
        _meter(telling, name, meter)
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


def _board_model(telling: Telling, number: str, data: Mapping[str, Any]) -> None:
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


def _meter(telling: Telling, name: str, data: Mapping[str, Any]) -> None:
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


def _join(telling: Telling, step: Step, by: Person) -> None:
    model = telling.shop.board_models.get(number=step["board_model"])
    telling.board = bench.board_join(
        ticket=_ticket(telling),
        by=by,
        board_model=model,
        serial=step.get("serial", ""),
        at=telling.at(step),
    )


def _read(telling: Telling, step: Step, by: Person) -> None:
    """One reading, or several of one minute: ``points = {"k06/main" = "0.4"}``."""
    meter = telling.meters[step["meter"]] if "meter" in step else None
    for number, (point_id, typed) in enumerate(step["points"].items()):
        kind = "category" if typed.startswith("=") else "typed"
        bench.reading_take(
            board=_board(telling),
            ticket=telling.ticket,
            by=by,
            point_id=point_id,
            taken_at=telling.at(step) + timedelta(seconds=20 * number),
            meter=meter,
            **{kind: typed.removeprefix("=")},
            **step.get("with", {}),
        )


def _suspect(telling: Telling, step: Step, by: Person) -> None:
    bench.suspect_name(
        board=_board(telling),
        ticket=_ticket(telling),
        by=by,
        part_id=step["part"],
        mode_id=step["mode"],
        at=telling.at(step),
    )


def _intervene(telling: Telling, step: Step, by: Person) -> None:
    bench.intervention_do(
        board=_board(telling),
        ticket=_ticket(telling),
        by=by,
        kind=step["kind"],
        part_id=step.get("part", ""),
        place=step.get("place", ""),
        at=telling.at(step),
    )


def _find(telling: Telling, step: Step, by: Person) -> None:
    bench.finding_confirm(
        board=_board(telling),
        ticket=_ticket(telling),
        by=by,
        part_id=step["part"],
        mode_id=step["mode"],
        place=step.get("place", ""),
        is_proven=step.get("is_proven", False),
        at=telling.at(step),
    )


def _write(telling: Telling, step: Step, by: Person) -> None:
    for kind, text in step["story"].items():
        intake.story_write(
            ticket=_ticket(telling), by=by, kind=kind, text=text, at=telling.at(step)
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
        ticket=_ticket(telling),
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
        ticket=_ticket(telling),
        by=by,
        person=by,
        kind=step["kind"],
        minutes=step["minutes"],
        started_at=telling.at(step),
    )


def _use_part(telling: Telling, step: Step, by: Person) -> None:
    item = telling.stock[step["stock"]]
    billing.part_use(
        ticket=_ticket(telling),
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
        ticket=_ticket(telling),
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
        ticket=_ticket(telling),
        at=telling.at(step),
    )


def _prove(telling: Telling, step: Step, by: Person) -> None:
    for item, how_much in step["items"].items():
        bench.proof_item_record(
            ticket=_ticket(telling),
            by=by,
            item=item,
            result="passed",
            at=telling.at(step),
            **how_much,
        )


def _not_fitted(telling: Telling, step: Step, by: Person) -> None:
    bench.point_not_fitted(
        board=_board(telling),
        ticket=telling.ticket,
        by=by,
        point_id=step["what"],
        at=telling.at(step),
    )


def _end(telling: Telling, step: Step, by: Person) -> None:
    intake.outcome_record(
        ticket=_ticket(telling),
        by=by,
        kind=step["kind"],
        no_fix_reason=step.get("no_fix_reason", ""),
        at=telling.at(step),
    )


def _invoice(telling: Telling, step: Step, by: Person) -> None:
    desk.invoice_issue(ticket=_ticket(telling), by=by, at=telling.at(step))


def _tell_customer(telling: Telling, step: Step, by: Person) -> None:
    intake.customer_told(
        ticket=_ticket(telling),
        by=by,
        channel=step["channel"],
        next_contact=None,
        at=telling.at(step),
    )


def _park(telling: Telling, step: Step, by: Person) -> None:
    intake.ticket_park(
        ticket=_ticket(telling),
        by=by,
        until=telling.today.date() + timedelta(days=step["until_in_days"]),
        because=step["because"],
        waits_for=step["waits_for"],
        at=telling.at(step),
    )


def _put_down(telling: Telling, step: Step, by: Person) -> None:
    bench.board_put_down(
        board=_board(telling), ticket=telling.ticket, by=by, at=telling.at(step)
    )


def _hand_over(telling: Telling, step: Step, by: Person) -> None:
    desk.hand_over(
        ticket=_ticket(telling), by=by, given_to=step["to"], at=telling.at(step)
    )


def _ticket(telling: Telling) -> Ticket:
    if telling.ticket is None:
        raise ValueError("A step needs a ticket taken in before it.")
    return telling.ticket


def _board(telling: Telling) -> Board:
    if telling.board is None:
        raise ValueError("A step at the bench needs a board before it.")
    return telling.board


ACTS: dict[str, Callable[[Telling, Step, Person], None]] = {
    "reference": _reference,
    "take in": _take_in,
    "join": _join,
    "not fitted": _not_fitted,
    "read": _read,
    "suspect": _suspect,
    "intervene": _intervene,
    "find": _find,
    "write": _write,
    "quote": _quote,
    "answer": _answer,
    "work": _work,
    "use part": _use_part,
    "order": _order,
    "pay": _pay,
    "prove": _prove,
    "end": _end,
    "invoice": _invoice,
    "tell customer": _tell_customer,
    "park": _park,
    "put down": _put_down,
    "hand over": _hand_over,
}
