"""Invoices by the thousand: each total equals its lines, each XML is lawful.

All of them are written and reckoned a second time, in fractions; as many as there are
rounds go through XSD and Schematron too.
"""

from random import Random

from shop.billing.einvoice import cii
from shop.billing.einvoice.rules import why_not
from tests.drills.place import Result
from tests.einvoicing import reckoning
from tests.einvoicing.documents import drawn
from tests.einvoicing.judging import rules_broken, shape_errors

RECKONED = 10_000


def run(seed: int, rounds: int) -> Result:
    chance = Random(seed)
    lost: list[str] = []
    lines = 0
    for count in range(RECKONED):
        made = drawn(chance)
        lines += len(made.items)
        xml = cii.written(made)
        wrong = [*reckoning.faults(xml), *filter(None, [why_not(made)])]
        if count < rounds:
            wrong += [*shape_errors(xml), *rules_broken(xml)]
        lost += [f"invoice {count}: {one}" for one in wrong]
    counts = {"invoices": RECKONED, "lines": lines, "through Schematron": rounds}
    return Result("e_invoices", counts, tuple(lost))
