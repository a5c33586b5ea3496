"""What a credit note may take of an invoice, and what is left of it. PURE.

A line is taken back as it was, or a sum of it. Nothing is taken twice: neither of a
line nor of what a rate of tax was reckoned on. The last note on a rate takes the tax
that is left, so that all notes together are the invoice to the cent; where rounding
makes that another tax than EN 16931 reckons (BR-CO-17), ``einvoice.rules`` says so.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.billing.totals import ONE, Line, TaxSum, Totals, totals
from shop.money import Money, nothing, total

Rate = tuple[str, Decimal]


class TooMuch(ValueError):
    """More than is left. ``place`` is the line's, where one line is meant."""

    def __init__(self, left: Money, place: int | None = None) -> None:
        super().__init__(f"{left.amount} {left.currency} is left")
        self.left, self.place = left, place


@dataclass(frozen=True)
class LineLeft:
    """A line of an invoice, and the net that credit notes took of it so far."""

    place: int
    line: Line
    taken: Money

    @property
    def net(self) -> Money:
        return self.line.net - self.taken

    @property
    def is_over(self) -> bool:
        return bool(self.taken) and not self.net

    def back(self, part: Money | None, part_text: Callable[[str], str]) -> Line:
        """The line of a credit note for all that is left, or for a ``part`` of it."""
        net = self.net if part is None else part
        is_right_way = (net.amount > 0) == (self.net.amount > 0)
        if abs(net.amount) > abs(self.net.amount) or not (is_right_way or not net):
            raise TooMuch(self.net, self.place)
        if not self.taken and net == self.line.net:
            return self.line.taken_back()
        return replace(
            self.line,
            text=part_text(self.line.text),
            quantity=Decimal(-1 if net.amount > 0 else 1),
            unit=ONE,
            unit_price=abs(net.amount),
            net=-net,
        )


@dataclass(frozen=True)
class Note:
    """A credit note: its lines, each with the place of what it takes back."""

    places: tuple[int, ...]
    lines: tuple[Line, ...]
    sums: Totals
    is_partial: bool


def note_of(
    lines: Sequence[LineLeft],
    taxes: Sequence[TaxSum],
    *,
    takes: Mapping[int, Money] | None,
    part_text: Callable[[str], str] = str,
) -> Note:
    """The credit note over ``takes`` (place: net), or over all that is left.

    ``taxes`` is what is left of each rate. ``TooMuch`` where less than that is left.
    """
    currency = lines[0].line.net.currency
    chosen = [one for one in lines if not one.is_over]
    if takes is not None:
        chosen = [one for one in lines if takes.get(one.place)]
    back = tuple(
        one.back(takes[one.place] if takes is not None else None, part_text)
        for one in chosen
    )
    left = total([one.net for one in lines], currency)
    if not back:
        raise TooMuch(nothing(currency))
    sums = _sums(back, {(part.category, part.percent): part for part in taxes})
    return Note(
        places=tuple(one.place for one in chosen),
        lines=back,
        sums=sums,
        is_partial=bool(_open_after(lines, chosen, back)) and bool(left + sums.net),
    )


def _open_after(
    lines: Sequence[LineLeft], chosen: Sequence[LineLeft], back: Sequence[Line]
) -> list[LineLeft]:
    """The lines of which something is left after the note."""
    taken = {one.place: line.net for one, line in zip(chosen, back, strict=True)}
    return [one for one in lines if one.net + taken.get(one.place, one.net * 0)]


def _sums(back: Sequence[Line], left: Mapping[Rate, TaxSum]) -> Totals:
    sums = totals(back, back[0].net.currency)
    taxes = tuple(_tax(part, left[part.category, part.percent]) for part in sums.taxes)
    tax = total([part.tax for part in taxes], sums.net.currency)
    return Totals(net=sums.net, taxes=taxes, tax=tax, total=sums.net + tax)


def _tax(part: TaxSum, left: TaxSum) -> TaxSum:
    """The tax that goes back with a rate's sum; at the end, what is left of it."""
    after = left.taxable + part.taxable
    beyond = after.amount * left.taxable.amount < 0
    if beyond or abs(after.amount) > abs(left.taxable.amount):
        raise TooMuch(left.taxable)
    is_last = not after or abs(part.tax.amount) > abs(left.tax.amount)
    return replace(part, tax=-left.tax) if is_last else part
