"""What a scenario tells of money: quotes, work, parts, invoices, payments."""

from datetime import timedelta
from decimal import Decimal

from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.models import StockItem
from shop.billing.totals import Line
from shop.desk import services as desk
from shop.desk.telling import Acts, Step, Telling
from shop.people.models import Person


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
    item = telling.stock[step["stock"]] if "stock" in step else _came(telling, step)
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


def _came(telling: Telling, step: Step) -> StockItem | None:
    """What was ordered for this ticket lies on the shelf until it is used."""
    items = telling.shop.stock_items.filter(name=step["name"], on_hand__gt=0)
    return items.filter(order_lines__ticket=telling.ticket).first()


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
            reason="More was paid than the work came to." if due.amount < 0 else "",
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


def _invoice(telling: Telling, step: Step, by: Person) -> None:
    desk.invoice_issue(ticket=telling.in_hand, by=by, at=telling.at(step))


ACTS: Acts = {
    "arrive": _arrive,
    "settle": _settle,
    "credit": _credit,
    "quote": _quote,
    "answer": _answer,
    "work": _work,
    "use part": _use_part,
    "order": _order,
    "pay": _pay,
    "invoice": _invoice,
}
