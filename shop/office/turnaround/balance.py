"""Whether what is open fits what comes in and how long it stays."""

import numpy as np
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.office.figures import FEWEST
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.turnaround import words
from shop.office.turnaround.flow import Flow, mean_open
from shop.office.turnaround.queries import Stays
from shop.office.turnaround.split import DAY


def section(stays: Stays, waiting: int) -> Section:
    """``waiting``: how many are open now."""
    flow, closed = flow_of(stays), int(stays.is_handed_over.sum())
    return Section(
        code="balance",
        title=_("What is open, and what comes in"),
        unit=_("tickets and days"),
        says=words.too_few(closed) if flow is None else _says(flow, waiting),
        means=_(
            "Little’s law: over a long time as many are open as come in a day, times"
            " the mean days from taking in to handing over. All tickets, warranty"
            " returns too."
        ),
        table=_table(flow),
    )


def flow_of(stays: Stays) -> Flow | None:
    """Of the period as far as it has passed."""
    until = min(stays.until, stays.now)
    handed_over = stays.is_handed_over
    if until <= stays.since or np.count_nonzero(handed_over) < FEWEST:
        return None
    return Flow(
        mean_open(stays.opened, stays.closed, stays.since, until),
        int(stays.is_taken_in.sum()) / ((until - stays.since) / DAY),
        float(stays.took[handed_over].mean()),
    )


def _says(flow: Flow, waiting: int) -> str:
    said = _(
        "On average %(open)s were open. %(rate)s came in a day and stayed %(stay)s"
        " days, which makes %(law)s."
    ) % {
        "open": words.days(flow.open_mean),
        "rate": words.hundredths(flow.rate),
        "stay": words.days(flow.stay),
        "law": words.days(flow.by_law),
    }
    ends = {
        "agrees": _("That agrees."),
        "more": _("More were open than that: work piled up."),
        "fewer": _("Fewer were open than that: older work was cleared."),
    }
    now = ngettext("Now %(n)d is open.", "Now %(n)d are open.", waiting)
    return f"{said} {ends[flow.says]} {now % {'n': waiting}}"


def _table(flow: Flow | None) -> Table:
    row: list[Cell] = [None] * 4
    if flow is not None:
        row = [
            words.days(flow.open_mean),
            words.hundredths(flow.rate),
            flow.stay,
            words.days(flow.by_law),
        ]
    return Table(
        [
            Column("open_mean", _("Open on average"), Kind.TEXT),
            Column("rate", _("Taken in a day"), Kind.TEXT),
            words.days_column("stay", _("Mean stay")),
            Column("by_law", _("Open by the law"), Kind.TEXT),
        ],
        [row],
    )
