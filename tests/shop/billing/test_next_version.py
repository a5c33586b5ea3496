"""The lines of the next quote. Sums by hand from the worked cases of the brief (12)."""

from decimal import Decimal

from shop.billing.next_version import next_lines
from shop.billing.totals import MINUTE, Line, totals


def line(code: str, text: str, quantity: int, price: str, unit: str = "C62") -> Line:
    return Line.priced(
        code=code,
        text=text,
        quantity=Decimal(quantity),
        unit=unit,
        unit_price=Decimal(price),
        tax_percent=Decimal(20),
        currency="EUR",
    )


def repair(minutes: int) -> Line:
    return line("labour.repair", "Repair", minutes, "60.00", MINUTE)


FEE = line("fee", "Diagnosis, as agreed", 1, "35.00")
CAPACITOR = line("part", "Ceramic capacitor", 1, "2.00")
CONTROLLER = line("part", "3.3/5 V controller", 1, "10.24")
CONSUMABLES = line("consumables", "Consumables", 1, "4.00")
CASE_A = [FEE, repair(60), CAPACITOR, CONSUMABLES]


def next_of(quoted: list[Line], done: list[Line], more: list[Line]) -> list[Line]:
    return list(next_lines(quoted, done, more, increment=15))


def test_the_worked_case_and_a_controller_more() -> None:
    """101.00 net is case A; 30 min and 10.24 on top make 141.24, tax 28.25."""
    assert totals(CASE_A, "EUR").net.amount == Decimal("101.00")
    lines = next_of(CASE_A, [FEE, CONSUMABLES], [repair(30), CONTROLLER])
    sums = totals(lines, "EUR")
    assert [one.net.amount for one in lines] == [
        Decimal(text) for text in ("35.00", "90.00", "2.00", "4.00", "10.24")
    ]
    amounts = (sums.net.amount, sums.tax.amount, sums.total.amount)
    assert amounts == (Decimal("141.24"), Decimal("28.25"), Decimal("169.49"))


def test_a_part_that_was_quoted_and_used_is_one_part() -> None:
    used = line("part", "ceramic capacitor ", 1, "2.00")
    other = line("part", "Ferrite bead", 1, "2.00")
    lines = next_of(CASE_A, [FEE, repair(15), used, other, CONSUMABLES], [])
    assert [one.text for one in lines if one.code == "part"] == [
        "Ceramic capacitor",
        "Ferrite bead",
    ]
    assert [one.quantity for one in lines if one.unit == MINUTE] == [60]


def test_more_worked_than_quoted_is_what_the_more_comes_to() -> None:
    lines = next_of(CASE_A, [FEE, repair(105), CONSUMABLES], [repair(20)])
    assert [one.quantity for one in lines if one.unit == MINUTE] == [135]


def test_without_a_quote_it_is_the_work_and_the_more() -> None:
    lines = next_of([], [FEE, CONSUMABLES], [repair(50), CONTROLLER])
    assert [(one.code, int(one.quantity)) for one in lines] == [
        ("fee", 1),
        ("consumables", 1),
        ("labour.repair", 60),
        ("part", 1),
    ]
