"""The accounts of the journal: our codes, and what they are called at first. PURE.

An owner gives them the numbers and names of their own accountant
(``AccountName``); these are only where a new shop begins.
"""

from dataclasses import dataclass
from enum import StrEnum


class Account(StrEnum):
    """What money and goods are booked on.

    Revenue, tax and billed advances have one for each rate.
    """

    CASH = "cash"
    BANK = "bank"
    CARDS = "cards"
    RECEIVABLES = "receivables"
    STOCK = "stock"
    PREPAYMENTS = "prepayments"
    CREDIT = "credit"
    LOAN_DEPOSITS = "loan_deposits"
    DEPOSITS_KEPT = "deposits_kept"
    SUPPLIERS = "suppliers"
    OWNER = "owner"
    CASH_DIFFERENCES = "cash_differences"
    ROUNDING = "rounding"
    PARTS_COST = "parts_cost"
    STOCK_DIFFERENCES = "stock_differences"
    EXPENSES = "expenses"


NUMBERS: dict[str, str] = {
    Account.CASH: "1000",
    Account.BANK: "1200",
    Account.CARDS: "1360",
    Account.RECEIVABLES: "1400",
    Account.STOCK: "1500",
    Account.CREDIT: "1590",
    Account.SUPPLIERS: "1600",
    Account.PREPAYMENTS: "1710",
    Account.LOAN_DEPOSITS: "1730",
    Account.DEPOSITS_KEPT: "2700",
    Account.OWNER: "1800",
    Account.CASH_DIFFERENCES: "4980",
    Account.ROUNDING: "4985",
    Account.PARTS_COST: "5000",
    Account.STOCK_DIFFERENCES: "5900",
    Account.EXPENSES: "4900",
}
REVENUE, TAX, ADVANCES, OTHER_MONEY = "revenue", "tax", "advances", "money"
NUMBERS_OF_KIND = {
    REVENUE: "8000",
    TAX: "1770",
    ADVANCES: "1718",
    OTHER_MONEY: "1370",
}
PERCENT = 100  # basis points


@dataclass(frozen=True)
class Rate:
    """A tax category and rate (EN 16931, BG-23)."""

    category: str
    basis_points: int

    @property
    def code(self) -> str:
        """
        >>> Rate("S", 2000).code, Rate("S", 550).code
        ('S20', 'S5.5')
        """
        return f"{self.category}{self.basis_points / PERCENT:g}"


def revenue(rate: Rate) -> str:
    return f"{REVENUE}.{rate.code}"


def tax(rate: Rate) -> str:
    return f"{TAX}.{rate.code}"


def advances(rate: Rate) -> str:
    """What prepayment invoices billed and no work has earned yet: a liability."""
    return f"{ADVANCES}.{rate.code}"


def number_at_first(code: str) -> str:
    """The number that an account has until the owner gives it another.

    >>> number_at_first("cash"), number_at_first("revenue.S20")
    ('1000', '8000-S20')
    """
    if code in NUMBERS:
        return NUMBERS[code]
    kind, _dot, detail = code.partition(".")
    return f"{NUMBERS_OF_KIND[kind]}-{detail}"
