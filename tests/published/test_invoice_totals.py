"""Totals against EN 16931 and its published example invoices.

Rules: BR-CO-10 and 13 to 17, BR-DEC-19, 20 and 23, read in the CEN validation
artefact for UBL. Invoices: CEN/TC 434 examples 2, 3 and 5 of the EN 16931 test
material (check-values 6.9 to 6.19, READ). The published invoices also carry
allowances and charges of the whole document (BT-107, BT-108); we have none, so
here each is a line of its own: taxable sums and tax are the same.
"""

from decimal import Decimal

import pytest

from shop.billing.totals import Line, Totals, totals
from shop.money import CurrencyMismatch, Money


def net_line(net: str, percent: int, category: str = "S", money: str = "NOK") -> Line:
    """A line with the net that is printed."""
    return Line(
        code="",
        text="",
        quantity=Decimal(1),
        unit="C62",
        unit_price=Decimal(net),
        tax_category=category,
        tax_percent=Decimal(percent),
        net=Money.of(net, money),
    )


def priced(quantity: str, price: str, money: str = "NOK") -> Money:
    return Line.priced(
        code="",
        text="",
        quantity=Decimal(quantity),
        unit_price=Decimal(price),
        tax_percent=Decimal(25),
        currency=money,
    ).net


def example_2() -> Totals:
    return totals(
        [
            net_line("1273.00", 25),
            net_line("-3.96", 15),
            net_line("4.96", 15),
            net_line("-25.00", 0, "E"),
            net_line("187.50", 25),
            net_line("-100.00", 25),
            net_line("100.00", 25),
        ],
        "NOK",
    )


def rows(sums: Totals) -> list[tuple[str, str, str, str]]:
    return [
        (
            part.category,
            str(part.percent),
            str(part.taxable.amount),
            str(part.tax.amount),
        )
        for part in sums.taxes
    ]


@pytest.mark.parametrize(
    ("quantity", "price", "net"),
    [
        ("-1", "3.96", "-3.96"),
        ("2", "2.48", "4.96"),
        ("-1", "25.00", "-25.00"),
        ("250", "0.75", "187.50"),
    ],
)
def test_lines_2_to_5_of_example_2_come_to_their_nets(
    quantity: str, price: str, net: str
) -> None:
    assert priced(quantity, price).amount == Decimal(net)


def test_example_2_tax_is_worked_out_on_the_sum_of_a_rate() -> None:
    assert rows(example_2()) == [
        ("S", "25", "1460.50", "365.13"),
        ("S", "15", "1.00", "0.15"),
        ("E", "0", "-25.00", "0.00"),
    ]


def test_example_2_comes_to_its_printed_totals() -> None:
    sums = example_2()
    assert sums.net.amount == Decimal("1436.50")
    assert sums.tax.amount == Decimal("365.28")
    assert sums.total.amount == Decimal("1801.78")
    due = sums.total - Money.of("1000.00", "NOK")
    assert due.amount == Decimal("801.78")


def test_example_3_comes_to_its_printed_totals() -> None:
    sums = totals(
        [
            net_line("800.00", 25, money="DKK"),
            net_line("800.00", 10, money="DKK"),
            net_line("100.00", 25, money="DKK"),
        ],
        "DKK",
    )
    assert sums.net.amount == Decimal("1700.00")
    assert rows(sums) == [
        ("S", "25", "900.00", "225.00"),
        ("S", "10", "800.00", "80.00"),
    ]
    assert sums.total.amount == Decimal("2005.00")


def test_example_5_comes_to_its_printed_totals() -> None:
    sums = totals(
        [
            net_line("1500.00", 25, money="DKK"),
            net_line("2500.00", 12, money="DKK"),
            net_line("-150.00", 25, money="DKK"),
            net_line("150.00", 25, money="DKK"),
        ],
        "DKK",
    )
    assert sums.net.amount == Decimal("4000.00")
    assert rows(sums) == [
        ("S", "25", "1500.00", "375.00"),
        ("S", "12", "2500.00", "300.00"),
    ]
    assert sums.total.amount == Decimal("4675.00")
    due = sums.total - Money.of("2337.50", "DKK")
    assert due.amount == Decimal("2337.50")


def test_a_credit_note_mirrors_half_up_away_from_zero() -> None:
    """6.24: the artefact takes absolute values first, so both papers agree."""
    lines = [net_line("1460.50", 25)]
    back = totals([line.taken_back() for line in lines], "NOK")
    assert back.tax.amount == Decimal("-365.13")
    assert back.total == -totals(lines, "NOK").total


def test_nothing_comes_to_nothing() -> None:
    sums = totals([], "JPY")
    assert (sums.total.amount, sums.taxes) == (Decimal(0), ())


def test_two_currencies_never_meet_on_a_paper() -> None:
    with pytest.raises(CurrencyMismatch):
        totals([net_line("1.00", 25, money="EUR")], "NOK")
