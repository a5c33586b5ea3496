"""What an account paid, sum by sum: each has one receipt, whatever it paid."""

from dataclasses import dataclass

from shop.billing import receipts
from shop.billing.accounts.statement import payments_of
from shop.billing.models import Payment
from shop.intake.models import Customer
from shop.money import Money, total


@dataclass(frozen=True)
class PaidSum:
    """Payments that came as one sum; the receipt is that of the first."""

    first: Payment
    amount: Money
    receipt: str
    numbers: tuple[str, ...]


def sums_of(customer: Customer) -> list[PaidSum]:
    """Of monthly invoices, the newest first."""
    rows = payments_of(customer).filter(invoice__account__isnull=False)
    by_first: dict[int, list[Payment]] = {}
    for row in rows.select_related("invoice", "together").order_by("id"):
        link = getattr(row, "together", None)
        by_first.setdefault(link.first_id if link else row.pk, []).append(row)
    return [_sum(ones) for _pk, ones in sorted(by_first.items(), reverse=True)]


def _sum(ones: list[Payment]) -> PaidSum:
    first = ones[0]
    return PaidSum(
        first=first,
        amount=total([one.amount for one in ones], first.currency),
        receipt=receipts.number_of(first),
        numbers=tuple(one.invoice.number for one in ones if one.invoice),
    )
