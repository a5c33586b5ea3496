"""Cash in the coins there are: the payment is rounded, never the invoice. PURE."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shop.money import Money


class NoSuchCoins(ValueError):
    """An amount that no coins make up; ``near`` are those below and above."""

    def __init__(self, near: tuple[Money, Money]) -> None:
        super().__init__("no coins make this up")
        self.near = near


@dataclass(frozen=True)
class Handed:
    """What changes hands, and the part of it that rounding put on or took off."""

    amount: Money
    rounding: Money


def in_coins(amount: Money, step: int) -> Money:
    """The nearest amount of whole coins, half away from zero.

    >>> in_coins(Money.of("20.43", "AUD"), 5).amount
    Decimal('20.45')
    """
    whole = Decimal(amount.minor) / step
    coins = int(whole.quantize(Decimal(1), ROUND_HALF_UP))
    return Money.from_minor(coins * step, amount.currency)


def handed(typed: Money, *, step: int, settling: tuple[Money, ...]) -> Handed:
    """What a cash payment of ``typed`` is.

    It ends one of the amounts in ``settling`` (what is owed, all that was paid) where
    it is that amount or the coins for it; else it must be whole coins.
    """
    for owed in settling:
        coins = in_coins(owed, step)
        if owed and typed in (owed, coins):
            return Handed(coins, coins - owed)
    if typed.minor % step:
        below = typed.minor // step * step
        raise NoSuchCoins(
            (
                Money.from_minor(below, typed.currency),
                Money.from_minor(below + step, typed.currency),
            )
        )
    return Handed(typed, typed - typed)
