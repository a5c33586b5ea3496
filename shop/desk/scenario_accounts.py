"""What a scenario tells of account customers: their rules, their month, its payment."""

from datetime import timedelta

from shop.billing.accounts.draft import draft_of
from shop.billing.accounts.paying import account_payment_take
from shop.desk import month
from shop.desk.telling import Acts, Step, Telling
from shop.intake import services as intake
from shop.money import Money
from shop.people.models import Person


def _account(telling: Telling, step: Step, by: Person) -> None:
    """The customer becomes an account, with a price list of their own."""
    customer, at = telling.customer(step["customer"], by), telling.at(step)
    rules, prices = dict(step["rules"]), dict(step["prices"])
    intake.account_set(
        customer=customer,
        by=by,
        seen=0,
        standing_cap=_taken(telling, rules, "standing_cap"),
        credit_limit=_taken(telling, rules, "credit_limit"),
        at=at,
        **rules,
    )
    intake.account_prices_set(
        customer=customer,
        by=by,
        hourly_rate=_taken(telling, prices, "hourly_rate"),
        diagnosis_fee=_taken(telling, prices, "diagnosis_fee"),
        now=at,
        **prices,
    )


def _taken(telling: Telling, data: dict[str, str], name: str) -> Money | None:
    return telling.money(data.pop(name)) if name in data else None


def _month(telling: Telling, step: Step, by: Person) -> None:
    """The invoice over the month before the step's day."""
    customer, at = telling.customers[step["customer"]], telling.at(step)
    first = (at.date().replace(day=1) - timedelta(days=1)).replace(day=1)
    draft = draft_of(customer, first, at)
    if draft is None:
        raise ValueError("A month is billed to an account.")
    telling.invoice = month.issue(
        customer=customer, month=first, by=by, seen=draft.mark, at=at
    )


def _pay_month(telling: Telling, step: Step, by: Person) -> None:
    """All of the invoice that was issued last."""
    invoice = telling.billed
    account_payment_take(
        customer=telling.customers[step["customer"]],
        by=by,
        amount=invoice.total - invoice.prepaid,
        method="transfer",
        reference=step.get("reference", ""),
        number=invoice.number,
        at=telling.at(step),
    )


ACTS: Acts = {"account": _account, "month": _month, "pay month": _pay_month}
