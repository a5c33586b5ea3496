"""How soon a ticket has its first cold reading, and its first quote."""

from dataclasses import dataclass

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.office.drawings import Curve, Curves
from shop.office.figures import FEWEST
from shop.office.sections import Section
from shop.office.turnaround import words
from shop.office.turnaround.back import reads_of, steps_of, steps_table
from shop.office.turnaround.queries import NEVER, Flags, Seconds, Stays
from shop.office.turnaround.survival import HALF, NINE_OF_TEN, Survival


@dataclass(frozen=True)
class First:
    curve: Survival
    without: int  # handed over without one


def section(stays: Stays) -> Section:
    reading = first(stays, stays.to_reading)
    quote = first(stays, stays.to_quote)
    drawn = [
        (label, one.curve)
        for label, one in (
            (_("first cold reading"), reading),
            (_("first quote"), quote),
        )
        if one.curve.done >= FEWEST
    ]
    return Section(
        code="first",
        title=_("To the first diagnosis"),
        unit=_("share that has it, by days since taken in"),
        says=f"{_reading_says(reading)} {_quote_says(quote)}",
        means=_(
            "Tickets taken in during the period, warranty returns apart, until the"
            " first reading without power and until the first quote; who waits still"
            " counts as waiting, who was handed over without one is left out."
        ),
        table=steps_table(drawn),
        drawing=_drawing(drawn) if drawn else None,
    )


def first(stays: Stays, to: Seconds) -> First:
    taken_in: Flags = stays.is_taken_in & ~stays.is_warranty
    went_without = taken_in & stays.is_closed & (to == NEVER)
    curve = stays.first(to, taken_in & ~went_without)
    return First(curve, int(np.count_nonzero(went_without)))


def _drawing(drawn: list[tuple[str, Survival]]) -> Curves:
    curves = [Curve(label, one.n, steps_of(one)) for label, one in drawn]
    return Curves(curves, _("days"), reads=reads_of(drawn[0][1]))


def _reading_says(one: First) -> str:
    told = _told(one)
    if "half" not in told:
        said = _("First cold reading: too few yet (%(tickets)s).") % told
    elif "nine" not in told:
        said = (
            _(
                "Half have their first cold reading in %(half)s; nine of ten is not"
                " reached yet (%(tickets)s)."
            )
            % told
        )
    else:
        said = (
            _(
                "Half have their first cold reading in %(half)s, nine of ten in"
                " %(nine)s (%(tickets)s)."
            )
            % told
        )
    return said + _without(one)


def _quote_says(one: First) -> str:
    told = _told(one)
    if "half" not in told:
        said = _("First quote: too few yet (%(tickets)s).") % told
    elif "nine" not in told:
        said = (
            _(
                "Half have their first quote in %(half)s; nine of ten is not reached"
                " yet (%(tickets)s)."
            )
            % told
        )
    else:
        said = (
            _(
                "Half have their first quote in %(half)s, nine of ten in %(nine)s"
                " (%(tickets)s)."
            )
            % told
        )
    return said + _without(one)


def _told(one: First) -> dict[str, str]:
    told = {"tickets": words.tickets(one.curve.n)}
    if one.curve.done < FEWEST:
        return told
    for name, share in (("half", HALF), ("nine", NINE_OF_TEN)):
        if (at := one.curve.within(share)) is not None:
            told[name] = words.span(at)
    return told


def _without(one: First) -> str:
    if not one.without:
        return ""
    said = ngettext(
        "%(n)d was handed over without.",
        "%(n)d were handed over without.",
        one.without,
    )
    return " " + said % {"n": one.without}
