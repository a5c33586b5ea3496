"""What a scenario tells of the counter's money: sales, loans, the till, reminders."""

from datetime import timedelta
from decimal import Decimal

from shop.billing import services as billing
from shop.billing.loans import services as loans
from shop.billing.models import Invoice
from shop.books import services as books
from shop.books import till
from shop.books.queries import open_invoices
from shop.desk.telling import Acts, Step, Telling
from shop.people import queries as people
from shop.people.models import Person


def _sell(telling: Telling, step: Step, by: Person) -> None:
    """Over the counter; prices have their tax in them."""
    at = telling.at(step)
    tax = Decimal(people.terms_at(telling.shop, at).tax_basis_points).scaleb(-2)
    given = step.get("given")
    sold = [
        billing.Sold(
            text=one["text"],
            quantity=Decimal(one.get("quantity", 1)),
            price=telling.money(one["price"]),
            tax_percent=tax,
            item=telling.stock[one["stock"]] if "stock" in one else None,
        )
        for one in step["sold"]
    ]
    billing.sale_do(
        shop=telling.shop,
        by=by,
        sold=sold,
        method=step["method"],
        with_tax=True,
        given=telling.money(given) if given else None,
        at=at,
    )


def _lend(telling: Telling, step: Step, by: Person) -> None:
    """One of the shop's own, kept on the list when it is lent first."""
    name = step["device"]
    if name not in telling.loan_devices:
        telling.loan_devices[name] = loans.loan_device_keep(
            shop=telling.shop, name=name, serial=step.get("serial", "")
        )
    telling.loan = loans.loan_give(
        ticket=telling.in_hand,
        device=telling.loan_devices[name],
        by=by,
        given_with=step.get("given_with", ""),
        due_on=telling.at(step).date() + timedelta(days=step["for_days"]),
        deposit=telling.money(step["deposit"]) if "deposit" in step else None,
        deposit_method=step.get("method", ""),
        at=telling.at(step),
    )


def _bring_back(telling: Telling, step: Step, by: Person) -> None:
    if telling.loan is None:
        raise ValueError("What comes back was lent before.")
    loans.loan_take_back(
        loan=telling.loan, by=by, state=step.get("state", ""), at=telling.at(step)
    )


def _cash(telling: Telling, step: Step, by: Person) -> None:
    books.cash_move(
        shop=telling.shop,
        by=by,
        why=step["why"],
        amount=telling.money(step["amount"]),
        said=step.get("said", ""),
        at=telling.at(step),
    )


def _end_day(telling: Telling, step: Step, by: Person) -> None:
    """Counted: what should lie there, and by how much it ``differs``."""
    state = till.now(telling.shop)
    books.cash_day_end(
        shop=telling.shop,
        by=by,
        counted=state.expected + telling.money(step.get("differs", "0")),
        after=state.serial,
        reason=step.get("reason", ""),
        at=telling.at(step),
    )


def _remind(telling: Telling, step: Step, by: Person) -> None:
    """Of the oldest invoice that somebody owes."""
    owed = open_invoices(telling.shop, telling.at(step))
    oldest = next(one for one in owed if one.buyer == step["customer"])
    invoice = Invoice.objects.get(pk=oldest.pk)
    books.reminder_send(invoice=invoice, by=by, at=telling.at(step))


ACTS: Acts = {
    "sell": _sell,
    "lend": _lend,
    "bring back": _bring_back,
    "cash": _cash,
    "end day": _end_day,
    "remind": _remind,
}
