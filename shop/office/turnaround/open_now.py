"""Open tickets by whose turn it is and how long they have been here."""

from datetime import timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.intake.turn import Whose
from shop.office.drawings import Tally
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.turnaround import words
from shop.office.turnaround.ageing import TURNS, aged

CODES = ("days_0_3", "days_4_7", "days_8_14", "days_15_30", "days_over_30")


def section(ages: list[tuple[Whose, timedelta]]) -> Section:
    heads = ["0–3", "4–7", "8–14", "15–30", _("over 30")]
    labels = [_("Ours"), _("The customer’s"), _("A supplier’s"), _("The handover’s")]
    cells = aged(ages)
    columns = [
        Column("whose_turn", _("Whose turn"), Kind.TEXT),
        *(words.count_column(*one) for one in zip(CODES, heads, strict=True)),
        words.count_column("all", _("All")),
    ]
    rows: list[list[Cell]] = [
        [label, *counts, sum(counts)]
        for label, counts in zip(labels, cells, strict=True)
    ]
    turns = [str(turn) for turn in TURNS]
    return Section(
        code="open",
        title=_("Open now, by age in days"),
        unit=_("one mark is one ticket"),
        says=_says(cells),
        means=_(
            "Every open ticket, warranty returns too, by full days since it was taken"
            " in and whose turn it is now."
        ),
        table=Table(columns, rows),
        drawing=Tally(heads, list(zip(turns, labels, strict=True)), cells),
    )


def _says(cells: list[list[int]]) -> str:
    ours, customer, supplier, handover = (sum(counts) for counts in cells)
    n = ours + customer + supplier + handover
    if not n:
        return _("No ticket is open.")
    said = ngettext(
        "%(n)d ticket is open: %(ours)d our turn, %(customer)d the customer’s,"
        " %(supplier)d a supplier’s, %(handover)d the handover’s.",
        "%(n)d tickets are open: %(ours)d our turn, %(customer)d the customer’s,"
        " %(supplier)d a supplier’s, %(handover)d the handover’s.",
        n,
    ) % {
        "n": n,
        "ours": ours,
        "customer": customer,
        "supplier": supplier,
        "handover": handover,
    }
    return " ".join(filter(None, [said, _long(sum(row[-1] for row in cells))]))


def _long(count: int) -> str:
    if not count:
        return _("None is here for more than 30 days.")
    return ngettext(
        "%(n)d is here for more than 30 days.",
        "%(n)d are here for more than 30 days.",
        count,
    ) % {"n": count}
