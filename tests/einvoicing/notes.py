"""An invoice taken back in random parts, reckoned a second time in whole cents.

Nothing of ours is used to judge: what is left is kept in integers beside it.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from random import Random

from shop.billing.crediting.left import LineLeft, Note, note_of
from shop.billing.einvoice import cii
from shop.billing.einvoice.document import CREDIT_NOTE, Document, Sums, TaxPart
from shop.billing.einvoice.rules import why_not
from shop.billing.totals import Line, TaxSum, totals
from shop.money import Money
from tests.einvoicing import reckoning
from tests.einvoicing.documents import PLAIN_PARTIES, drawn_line, item

MOST_NOTES = 4
Cents = dict[tuple[str, Decimal], list[int]]


def invoice_lines(chance: Random) -> list[Line]:
    """Lines of several rates, some taken off, that come to more than nothing."""
    while True:
        lines = [drawn_line(chance, "S", "EUR") for _ in range(chance.randint(1, 5))]
        sums = totals(lines, "EUR")
        if sums.total.amount > 0 and all(t.taxable.amount > 0 for t in sums.taxes):
            return lines


def faults(chance: Random) -> Iterator[str]:
    """Take one invoice back to the end: above what is left, or not exactly it."""
    lines = invoice_lines(chance)
    sums = totals(lines, "EUR")
    taken = [0] * len(lines)
    left: Cents = {
        (t.category, t.percent): [t.taxable.minor, t.tax.minor] for t in sums.taxes
    }
    for _ in range(MOST_NOTES):
        note = _next(lines, taken, left, chance)
        if note is None:
            break
        for place, line in zip(note.places, note.lines, strict=True):
            taken[place - 1] -= line.net.minor
        for t in note.sums.taxes:
            sums_of_rate = left[t.category, t.percent]
            sums_of_rate[0] += t.taxable.minor
            sums_of_rate[1] += t.tax.minor
        if any(net < 0 or tax < 0 for net, tax in left.values()):
            yield "a note above what was left"
        yield from _wrong_figures(note)
    last = note_of(_left(lines, taken), _rates(left), takes=None)
    for t in last.sums.taxes:
        left[t.category, t.percent][0] += t.taxable.minor
        left[t.category, t.percent][1] += t.tax.minor
    if last.is_partial or any(net or tax for net, tax in left.values()):
        yield f"{left} is left in the end"


def _next(
    lines: Sequence[Line], taken: Sequence[int], left: Cents, chance: Random
) -> Note | None:
    """A note over a part of one line that leaves something of its rate."""
    rows = [one for one in _left(lines, taken) if one.net.minor > 1]
    fit = [one for one in rows if left[one.line.tax_category, one.line.tax_percent][0]]
    if not fit:
        return None
    one = chance.choice(fit)
    most = min(one.net.minor, left[one.line.tax_category, one.line.tax_percent][0])
    part = Money.from_minor(chance.randint(1, max(1, most - 1)), "EUR")
    return note_of(_left(lines, taken), _rates(left), takes={one.place: part})


def _left(lines: Sequence[Line], taken: Sequence[int]) -> list[LineLeft]:
    return [
        LineLeft(place, line, Money.from_minor(minor, "EUR"))
        for place, (line, minor) in enumerate(zip(lines, taken, strict=True), start=1)
    ]


def _rates(left: Cents) -> list[TaxSum]:
    return [
        TaxSum(
            category,
            percent,
            Money.from_minor(net, "EUR"),
            Money.from_minor(tax, "EUR"),
        )
        for (category, percent), (net, tax) in left.items()
    ]


def _wrong_figures(note: Note) -> Iterator[str]:
    """The note's lines and taxes; its XML too, unless its tax is the last cent's."""
    by_rate: dict[tuple[str, Decimal], int] = defaultdict(int)
    for line in note.lines:
        by_rate[line.tax_category, line.tax_percent] += line.net.minor
    is_exact = True
    for t in note.sums.taxes:
        net = by_rate[t.category, t.percent]
        exact = -reckoning.half_up(Fraction(-net) * Fraction(t.percent) / 100, 0)
        is_exact &= t.tax.minor == exact
        if t.taxable.minor != net or abs(t.tax.minor - exact) > MOST_NOTES:
            yield f"{t} for {net}"
    document = document_of(note)
    if (why_not(document) is None) != is_exact:
        yield f"{why_not(document)} for exact {is_exact}"
    if is_exact:
        yield from reckoning.faults(cii.written(document))


def document_of(note: Note) -> Document:
    """The note as it goes into its e-invoice: amounts turned, kind 381."""
    lines = [replace(one, quantity=-one.quantity, net=-one.net) for one in note.lines]
    sums = note.sums
    return Document(
        **PLAIN_PARTIES,
        currency="EUR",
        kind=CREDIT_NOTE,
        items=tuple(map(item, lines)),
        taxes=tuple(
            TaxPart(
                t.category,
                t.percent,
                -t.taxable.amount,
                -t.tax.amount,
                "" if t.percent else "No tax is charged.",
            )
            for t in sums.taxes
        ),
        sums=Sums(
            items=-sums.net.amount,
            net=-sums.net.amount,
            tax=-sums.tax.amount,
            total=-sums.total.amount,
            due=-sums.total.amount,
        ),
    )
