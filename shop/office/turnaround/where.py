"""Where the days went: closed tickets by whose turn it was, month by month."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import dropwhile
from statistics import median

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.office.asked import Asked
from shop.office.drawings import Part, TurnBar, TurnBars
from shop.office.figures import FEWEST
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.turnaround import words
from shop.office.turnaround.queries import Flags, Read, Stays
from shop.office.turnaround.split import DAY, Parts, seconds, shown_tenths
from shop.office.turnaround.weeks import Stretch, months
from shop.people.models import Shop
from shop.shown import date_format

QUARTER = 3
NONE = "–"


@dataclass(frozen=True)
class Mean:
    """Of some closed tickets, in days; ``None`` stands for fewer than three."""

    closed: int
    parts: Parts  # seconds, all together
    half: float
    nine_of_ten: float

    @property
    def days(self) -> list[float]:
        """Queue, in hands, parked, customer, supplier, handover."""
        return [one / DAY / self.closed for one in self.parts]

    @property
    def by_turn(self) -> list[float]:
        """Ours, the customer's, a supplier's, the handover's."""
        ours, rest = self.days[:3], self.days[3:]
        return [sum(ours), *rest]

    @property
    def total(self) -> float:
        return sum(self.parts) / DAY / self.closed


def mean_of(stays: Stays, of: Flags) -> Mean | None:
    """``None`` of fewer than three: it would be an anecdote."""
    took = stays.took[of]
    if len(took) < FEWEST:
        return None
    half, nine = np.quantile(took, (0.5, 0.9), method="inverted_cdf").tolist()
    parts = Parts(*stays.parts[of].sum(axis=0).tolist())
    return Mean(len(took), parts, half, nine)


def section(shop: Shop, asked: Asked, read: Read) -> Section:
    stays = read.stays
    usual = stays.is_handed_over & ~stays.is_warranty
    returns = stays.is_handed_over & stays.is_warranty
    stretches, several = _stretches(shop, asked, stays, usual)
    rows = [(_label(one, several), _within(stays, usual, one)) for one in stretches]
    if returns.any():
        rows.append((_("warranty returns"), returns))
    return Section(
        code="days",
        title=_("Where the days went"),
        unit=_("days a closed ticket took, by whose turn"),
        says=" ".join([_says(stays, usual), *_left_out(read)]),
        means=_(
            "Tickets handed over in the period, from taking in to handing over; the"
            " parts add up to the whole. Warranty returns have a row of their own."
        ),
        table=_table(stays, [(_("the period"), usual), *rows]),
        drawing=_bars(stays, rows, len(stretches) - 1),
    )


def _stretches(
    shop: Shop, asked: Asked, stays: Stays, usual: Flags
) -> tuple[list[Stretch], int]:
    """Months, or quarters where most months have too few tickets.

    They begin with the first in which anything was closed.
    """
    for several in (1, QUARTER):
        every = months(asked.since, asked.until, shop.zone, several)
        cut = list(dropwhile(lambda one: not _closed(stays, usual, one), every))
        counts = [_closed(stays, usual, one) for one in cut]
        if not cut or median(counts) >= FEWEST:
            return cut, several
    return cut, QUARTER


def _closed(stays: Stays, usual: Flags, stretch: Stretch) -> int:
    return int(_within(stays, usual, stretch).sum())


def _within(stays: Stays, of: Flags, stretch: Stretch) -> Flags:
    start, end = seconds(stretch.start), seconds(stretch.end)
    return of & (start <= stays.closed) & (stays.closed < end)


def _label(stretch: Stretch, several: int) -> str:
    first = date_format(stretch.day, "M Y")
    if several == 1:
        return first
    last = stretch.day.replace(month=stretch.day.month + several - 1)
    return f"{date_format(stretch.day, 'M')}–{date_format(last, 'M Y')}"


def _says(stays: Stays, usual: Flags) -> str:
    mean = mean_of(stays, usual)
    if mean is None:
        return words.too_few(int(usual.sum()))
    ours, customer, supplier, handover = shown_tenths(mean.by_turn)
    return _(
        "On average a ticket took %(total)s days: %(ours)s ours, %(customer)s the"
        " customer’s, %(supplier)s a supplier’s, %(handover)s the handover’s"
        " (%(tickets)s)."
    ) % {
        "total": words.days(mean.total),
        "ours": words.days(ours),
        "customer": words.days(customer),
        "supplier": words.days(supplier),
        "handover": words.days(handover),
        "tickets": words.tickets(mean.closed),
    }


def _left_out(read: Read) -> list[str]:
    said = []
    if n := read.left_out:
        said.append(
            ngettext(
                "%(n)d ticket left out: closed before it was opened.",
                "%(n)d tickets left out: closed before they were opened.",
                n,
            )
            % {"n": n}
        )
    n = read.uncounted.many
    if not read.uncounted.is_all:
        said.append(_("%(n)d tickets or more are still being counted.") % {"n": n})
    elif n:
        said.append(
            ngettext(
                "%(n)d ticket is still being counted.",
                "%(n)d tickets are still being counted.",
                n,
            )
            % {"n": n}
        )
    return said


def _bars(stays: Stays, rows: Sequence[tuple[str, Flags]], newest: int) -> TurnBars:
    bars = [
        _bar(label, mean_of(stays, of), int(of.sum()), now=place == newest)
        for place, (label, of) in enumerate(rows)
    ]
    return TurnBars(bars, heads=(_("mean"), _("nine in ten"), _("closed")))


def _bar(label: str, mean: Mean | None, closed: int, *, now: bool) -> TurnBar:
    if mean is None:
        return TurnBar(label, (), (NONE, NONE, str(closed)), now=now)
    turns = ("ours", "customer", "supplier", "handover")
    shown = shown_tenths(mean.by_turn)
    parts = [Part(*one) for one in zip(turns, shown, strict=True) if one[1]]
    notes = (words.days(sum(shown)), words.days(mean.nine_of_ten), str(closed))
    return TurnBar(label, parts, notes, now=now)


def _table(stays: Stays, rows: Sequence[tuple[str, Flags]]) -> Table:
    return Table(
        [
            Column("closed_in", _("Closed in"), Kind.TEXT),
            words.count_column("closed", _("Closed")),
            *mean_columns(),
            words.days_column("half", _("Half took at most")),
            words.days_column("nine_in_ten", _("Nine in ten took at most")),
        ],
        [_row(label, mean_of(stays, of), int(of.sum())) for label, of in rows],
    )


def mean_columns() -> list[Column]:
    named = {
        "total": _("Mean"),
        "queue": _("Ours, waiting"),
        "hands": _("Ours, in hands"),
        "parked": _("Ours, parked"),
        "customer": _("The customer’s"),
        "supplier": _("A supplier’s"),
        "handover": _("The handover’s"),
    }
    return [words.days_column(code, head) for code, head in named.items()]


def mean_cells(mean: Mean | None) -> list[Cell]:
    return [None] * 7 if mean is None else [mean.total, *mean.days]


def _row(label: str, mean: Mean | None, closed: int) -> list[Cell]:
    quantiles = [None, None] if mean is None else [mean.half, mean.nine_of_ten]
    return [label, closed, *mean_cells(mean), *quantiles]
