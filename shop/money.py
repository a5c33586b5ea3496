"""Money. PURE: ``Decimal`` amounts of one currency, and the one rounding rule.

In the database money is an integer of the currency's minor unit (SQLite sums
decimal columns as floats). Minor units: ISO 4217 list one.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import total_ordering
from typing import Any, overload

DIGITS_OTHER_THAN_TWO = {
    **dict.fromkeys("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF".split(), 0),
    **dict.fromkeys("UGX VND VUV XAF XOF XPF".split(), 0),
    **dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3),
    **dict.fromkeys("CLF UYW".split(), 4),
}


def minor_digits(currency: str) -> int:
    """Decimal places of a currency (ISO 4217)."""
    return DIGITS_OTHER_THAN_TWO.get(currency, 2)


def rounded(amount: Decimal, currency: str) -> Decimal:
    """Half up (away from zero) to the currency's minor unit; zero has no sign.

    >>> rounded(Decimal("365.125"), "NOK")
    Decimal('365.13')
    """
    unit = Decimal(1).scaleb(-minor_digits(currency))
    return amount.quantize(unit, ROUND_HALF_UP) + 0


def decimal_mark_by(mark: Callable[[], str]) -> None:
    """Whose decimal mark amounts are written with: the reader's, told by the house."""
    global _mark  # noqa: PLW0603  one rule for all amounts, set once
    _mark = mark


def _mark() -> str:
    return "."


class CurrencyMismatch(ValueError):
    """Amounts of two currencies met."""


@total_ordering
@dataclass(frozen=True)
class Money:
    """An amount, rounded to the minor unit of its currency."""

    amount: Decimal
    currency: str

    def __post_init__(self) -> None:
        if rounded(self.amount, self.currency) != self.amount:
            raise ValueError(f"{self.amount} is finer than {self.currency} is.")
        object.__setattr__(self, "amount", rounded(self.amount, self.currency))

    @classmethod
    def of(cls, amount: Decimal | int | str, currency: str) -> "Money":
        """Money from any exact amount, rounded by the one rule."""
        return cls(rounded(Decimal(amount), currency), currency)

    @classmethod
    def from_minor(cls, minor: int, currency: str) -> "Money":
        return cls(Decimal(minor).scaleb(-minor_digits(currency)), currency)

    @property
    def minor(self) -> int:
        return int(self.amount.scaleb(minor_digits(self.currency)))

    def __add__(self, other: "Money") -> "Money":
        return Money(self.amount + self._like(other), self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.amount - self._like(other), self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.amount, self.currency)

    def __mul__(self, factor: Decimal | int) -> "Money":
        return Money.of(self.amount * factor, self.currency)

    def __lt__(self, other: "Money") -> bool:
        return self.amount < self._like(other)

    def __bool__(self) -> bool:
        return bool(self.amount)

    def __str__(self) -> str:
        """As people read it; ``amount`` is what files and fields are given."""
        return f"{self.amount:f}".replace("-", "\N{MINUS SIGN}").replace(".", _mark())

    def _like(self, other: "Money") -> Decimal:
        if other.currency != self.currency:
            raise CurrencyMismatch(f"{self.currency} and {other.currency}")
        return other.amount


def nothing(currency: str) -> Money:
    return Money.of(0, currency)


def total(amounts: list[Money], currency: str) -> Money:
    """The sum of a list, zero of ``currency`` where it is empty."""
    return sum(amounts, nothing(currency))


class Amount:
    """A row's money: reads ``<name>_minor`` in the row's own currency.

    >>> class Line:
    ...     currency, net_minor = "EUR", 9282
    ...     net = Amount()
    >>> Line().net
    Money(amount=Decimal('92.82'), currency='EUR')
    """

    def __set_name__(self, owner: type, name: str) -> None:
        self.column = f"{name}_minor"

    @overload
    def __get__(self, row: None, owner: type) -> "Amount": ...

    @overload
    def __get__(self, row: object, owner: type) -> Money: ...

    def __get__(self, row: Any, owner: type) -> "Money | Amount":
        if row is None:
            return self
        return Money.from_minor(getattr(row, self.column), row.currency)
