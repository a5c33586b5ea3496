"""Invoices by the thousand: each total equals its lines, each XML is lawful.

All of them are written and reckoned a second time, in fractions; as many as there are
rounds go through XSD and Schematron too. A fifth as many are taken back in random
parts to the end, and each total is paid in coins.
"""

from collections.abc import Iterator
from random import Random

from shop.billing.einvoice import cii
from shop.billing.einvoice.rules import why_not
from shop.billing.paying.cash import handed
from shop.money import Money
from tests.drills.place import Result
from tests.einvoicing import notes, reckoning
from tests.einvoicing.documents import drawn
from tests.einvoicing.judging import rules_broken, shape_errors

RECKONED = 10_000
TAKEN_BACK = 2_000
COINS = (1, 5, 10, 50, 100)


def run(seed: int, rounds: int) -> Result:
    chance = Random(seed)
    lost: list[str] = []
    lines = 0
    for count in range(RECKONED):
        made = drawn(chance)
        lines += len(made.items)
        xml = cii.written(made)
        wrong = [*reckoning.faults(xml), *filter(None, [why_not(made)])]
        wrong += not_in_coins(Money.of(made.sums.total, made.currency))
        if count < rounds:
            wrong += [*shape_errors(xml), *rules_broken(xml)]
        lost += [f"invoice {count}: {one}" for one in wrong]
    for count in range(TAKEN_BACK):
        lost += [f"taken back {count}: {one}" for one in notes.faults(chance)]
    counts = {"invoices": RECKONED, "lines": lines, "through Schematron": rounds}
    counts["taken back in parts"] = TAKEN_BACK
    return Result("e_invoices", counts, tuple(lost))


def not_in_coins(owed: Money) -> Iterator[str]:
    """What is handed over is whole coins, and settles to the cent what is owed."""
    for step in COINS:
        hand = handed(owed, step=step, settling=(owed,))
        rounding = hand.amount.minor - owed.minor
        is_settled = rounding == hand.rounding.minor and abs(rounding) * 2 <= step
        if hand.amount.minor % step or not is_settled:
            yield f"{owed.amount} in coins of {step}"
