"""How soon a ticket is back, with the open ones counted as open."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from shop.office.drawings import Curve, Curves, Step
from shop.office.figures import FEWEST
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.turnaround import words
from shop.office.turnaround.queries import Flags, Stays
from shop.office.turnaround.survival import HALF, NINE_OF_TEN, Survival

PER_CENT = 100
MOST_MARKS = 60


def section(stays: Stays) -> Section:
    usual = stays.is_taken_in & ~stays.is_warranty
    returns = stays.is_taken_in & stays.is_warranty
    back = stays.back(usual)
    drawn = [(_("all but warranty returns"), back, usual)]
    if (again := stays.back(returns)).done >= FEWEST:
        drawn.append((_("warranty returns"), again, returns))
    enough = back.done >= FEWEST
    return Section(
        code="back",
        title=_("How soon they are back"),
        unit=_("share handed over, by days since taken in"),
        says=says(back),
        means=_(
            "Tickets taken in during the period, from taking in to handing over; an"
            " open one counts as longer than it is here now (Kaplan-Meier). The band"
            " has the true curve with 95 %, point by point."
        ),
        table=steps_table([(label, curve) for label, curve, _of in drawn]),
        drawing=_drawing(stays, drawn) if enough else None,
    )


def says(back: Survival) -> str:
    """ "Half are back in 4 days, nine of ten in 11 days (38 tickets)." """
    half, nine = back.within(HALF), back.within(NINE_OF_TEN)
    told = {"tickets": words.followed(back.n, back.n - back.done)}
    if back.done < FEWEST:
        return words.too_few(back.done)
    if half is None:
        return _("Not reached yet: half are back (%(tickets)s).") % told
    told["half"] = words.span(half)
    if nine is None:
        return (
            _(
                "Half are back in %(half)s; nine of ten is not reached yet"
                " (%(tickets)s)."
            )
            % told
        )
    told["nine"] = words.span(nine)
    return _("Half are back in %(half)s, nine of ten in %(nine)s (%(tickets)s).") % told


def _drawing(stays: Stays, drawn: Sequence[tuple[str, Survival, Flags]]) -> Curves:
    curves = [
        Curve(label, back.n, steps_of(back), _marks(stays, of))
        for label, back, of in drawn
    ]
    return Curves(curves, _("days"), reads=reads_of(drawn[0][1]))


def _marks(stays: Stays, of: Flags) -> list[float]:
    """Where tickets are open still, to a tenth of a day; the newest sixty ages."""
    ages = stays.took[of & ~stays.is_closed].round(1).tolist()
    return sorted(set(ages))[:MOST_MARKS]


def steps_of(curve: Survival) -> list[Step]:
    return [Step(*one) for one in curve.steps()]


def reads_of(curve: Survival) -> list[tuple[float, float]]:
    told = [(curve.within(share), share) for share in (HALF, NINE_OF_TEN)]
    return [(at, share) for at, share in told if at is not None]


def steps_table(curves: Sequence[tuple[str, Survival]]) -> Table:
    percent = Kind.PERCENT
    return Table(
        [
            Column("curve", _("Curve"), Kind.TEXT),
            words.count_column("n", _("Tickets")),
            words.days_column("days", _("In days")),
            Column("share", _("Share"), percent),
            Column("low", _("At least"), percent),
            Column("high", _("At most"), percent),
        ],
        [row for label, curve in curves for row in _rows(label, curve)],
    )


def _rows(label: str, curve: Survival) -> list[list[Cell]]:
    if curve.done < FEWEST:
        return []
    return [
        [label, curve.n, at, *(PER_CENT * one for one in shares)]
        for at, *shares in curve.steps()
    ]
