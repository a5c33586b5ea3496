"""What a scenario tells of money: quotes, work, parts, invoices, payments."""

from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal

from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing import work
from shop.billing.models import StockItem
from shop.billing.paying.rules import rules_set
from shop.billing.rates.free import goodwill_decide
from shop.billing.totals import Line
from shop.desk import services as desk
from shop.desk.telling import Acts, Step, Telling
from shop.people.models import FixedJob, Person

TOO_MUCH = "More was paid than the work came to."


def _lines(telling: Telling, tax: str, lines: Iterable[Step]) -> list[Line]:
    return [
        Line.priced(
            code=_code(telling, line),
            text=line["text"],
            quantity=Decimal(line["quantity"]),
            unit=line.get("unit", "C62"),
            unit_price=Decimal(line["price"]),
            tax_percent=Decimal(tax),
            currency=telling.shop.currency,
        )
        for line in lines
    ]


def _code(telling: Telling, line: Step) -> str:
    """A job with a fixed price is named by its text."""
    if line["code"] != work.FIXED_JOB:
        return str(line["code"])
    job = FixedJob.objects.get(terms__shop=telling.shop, name=line["text"])
    return f"{work.FIXED_JOB}.{job.pk}"


def _quote(telling: Telling, step: Step, by: Person) -> None:
    tax = step["tax_percent"]
    telling.quote = billing.quote_send(
        ticket=telling.in_hand,
        by=by,
        lines=_lines(telling, tax, step.get("lines", ())),
        options=[
            billing.Option(one["title"], _lines(telling, tax, one["lines"]))
            for one in step.get("options", ())
        ],
        cause=step.get("cause", ""),
        risk=step.get("risk", ""),
        at=telling.at(step),
    )


def _answer(telling: Telling, step: Step, by: Person) -> None:
    if telling.quote is None:
        raise ValueError("An answer needs a quote before it.")
    quote = telling.quote
    if "option" in step:
        quote = telling.in_hand.quotes.get(version=quote.version, option=step["option"])
    billing.quote_answer(
        quote=quote,
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
            reason=step.get("reason", TOO_MUCH) if due.amount < 0 else "",
            at=telling.at(step),
        )


def _arrive(telling: Telling, step: Step, by: Person) -> None:
    if telling.order_line is None:
        raise ValueError("What arrives was ordered before.")
    billing.part_arrive(order_line=telling.order_line, by=by, at=telling.at(step))


def _credit(telling: Telling, step: Step, by: Person) -> None:
    """Whole, or with ``takes`` so much of a line, by its place."""
    standing = money.standing_invoice(telling.in_hand)
    if standing is None:
        raise ValueError("A credit note takes an invoice back.")
    takes = {int(n): telling.money(net) for n, net in step.get("takes", {}).items()}
    billing.credit_note_issue(
        invoice=standing,
        by=by,
        reason=step.get("reason", ""),
        takes=takes or None,
        at=telling.at(step),
    )


def _goodwill(telling: Telling, step: Step, by: Person) -> None:
    goodwill_decide(
        ticket=telling.in_hand,
        by=by,
        is_given=True,
        reason=step["reason"],
        at=telling.at(step),
    )


def _payment_rules(telling: Telling, step: Step, by: Person) -> None:
    rules_set(
        shop=telling.shop,
        by=by,
        deposit_paper=step["deposit_paper"],
        cash_step_minor=step.get("cash_step", 1),
        at=telling.at(step),
    )


def _invoice(telling: Telling, step: Step, by: Person) -> None:
    desk.invoice_issue(ticket=telling.in_hand, by=by, at=telling.at(step))


ACTS: Acts = {
    "arrive": _arrive,
    "settle": _settle,
    "credit": _credit,
    "goodwill": _goodwill,
    "payment rules": _payment_rules,
    "quote": _quote,
    "answer": _answer,
    "work": _work,
    "use part": _use_part,
    "order": _order,
    "pay": _pay,
    "invoice": _invoice,
}
