"""The lines of the next quote: what was quoted, what was done, and what is more. PURE.

Minutes of a kind are the larger of quoted and done, and the more on top: what was
quoted and not worked yet is still to be worked. A part that was quoted and used is one
part. What was done and never quoted is in, since it is billed as it was.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from shop.billing.labour import rounded_up
from shop.billing.totals import MINUTE, Line

Key = tuple[str, str]


def next_lines(
    quoted: Sequence[Line],
    done: Sequence[Line],
    more: Sequence[Line],
    *,
    increment: int,
) -> tuple[Line, ...]:
    """The lines in the order of the quote, then what comes to it.

    ``increment`` is the step of billed minutes: the minutes of a line that more is
    added to are rounded up to it, once, as they will be billed.
    """
    lines = {_key(line): line for line in quoted}
    for line in done:
        known = lines.get(_key(line))
        if known is None or line.quantity > known.quantity > 0:
            lines[_key(line)] = line
    for line in more:
        known = lines.get(_key(line))
        quantity = line.quantity + (known.quantity if known else 0)
        if line.unit == MINUTE:
            quantity = Decimal(rounded_up(int(quantity), increment))
        lines[_key(line)] = _of(known or line, quantity)
    return tuple(lines.values())


def _key(line: Line) -> Key:
    """Minutes go by their kind, everything else also by its text."""
    return (line.code, "" if line.unit == MINUTE else line.text.strip().casefold())


def _of(line: Line, quantity: Decimal) -> Line:
    priced = Line.priced(
        code=line.code,
        text=line.text,
        quantity=quantity,
        unit=line.unit,
        unit_price=line.unit_price,
        tax_category=line.tax_category,
        tax_percent=line.tax_percent,
        currency=line.net.currency,
    )
    return replace(line, quantity=quantity, net=priced.net)
