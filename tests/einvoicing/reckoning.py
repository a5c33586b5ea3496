"""The figures in an XML, reckoned a second time from its lines alone, in fractions.

Nothing of ours is used: BR-CO-10 to 17 and half up are written out again here.
"""

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from math import floor

from lxml import etree

NS = {
    "ram": "urn:un:unece:uncefact:data:standard:"
    "ReusableAggregateBusinessInformationEntity:100",
    "udt": "urn:un:unece:uncefact:data:standard:UnqualifiedDataType:100",
}
NO_CENTS = {"JPY"}
Tax = dict[tuple[str, Fraction], Fraction]


def faults(xml: bytes) -> list[str]:
    """Where a figure is not what its lines come to."""
    root = etree.fromstring(xml)
    return list(_faults(root))


def _faults(root: "etree._Element") -> Iterator[str]:
    digits = 0 if text(root, ".//ram:InvoiceCurrencyCode") in NO_CENTS else 2
    taxable: Tax = defaultdict(Fraction)
    sum_of_lines = Fraction(0)
    for row in root.iterfind(".//ram:IncludedSupplyChainTradeLineItem", NS):
        net = half_up(exact_of(row), digits)
        if net != number(row, ".//ram:LineTotalAmount"):
            yield f"line {text(row, './/ram:LineID')}"
        taxable[tax_of(row, ".//ram:ApplicableTradeTax/")] += net
        sum_of_lines += net
    settled = root.find(".//ram:ApplicableHeaderTradeSettlement", NS)
    off, on = Fraction(0), Fraction(0)
    for one in settled.iterfind("ram:SpecifiedTradeAllowanceCharge", NS):
        signed = signed_amount(one)
        taxable[tax_of(one, "ram:CategoryTradeTax/")] += signed
        if signed < 0:
            off -= signed
        else:
            on += signed
    taxes = {key: half_up(sum_ * key[1] / 100, digits) for key, sum_ in taxable.items()}
    stated = {
        tax_of(part, ""): (
            number(part, "ram:BasisAmount"),
            number(part, "ram:CalculatedAmount"),
        )
        for part in settled.iterfind("ram:ApplicableTradeTax", NS)
    }
    if stated != {key: (taxable[key], taxes[key]) for key in taxable}:
        yield "taxes"
    net, tax = sum_of_lines - off + on, sum(taxes.values())
    paid = number(settled, ".//ram:TotalPrepaidAmount")
    expected = {
        "LineTotalAmount": sum_of_lines,
        "AllowanceTotalAmount": off,
        "ChargeTotalAmount": on,
        "TaxBasisTotalAmount": net,
        "TaxTotalAmount": tax,
        "GrandTotalAmount": net + tax,
        "DuePayableAmount": net + tax - paid,
    }
    sums = settled.find("ram:SpecifiedTradeSettlementHeaderMonetarySummation", NS)
    for name, value in expected.items():
        if number(sums, f"ram:{name}") != value:
            yield name


def exact_of(row: "etree._Element") -> Fraction:
    price = number(row, ".//ram:NetPriceProductTradePrice/ram:ChargeAmount")
    per = number(row, ".//ram:NetPriceProductTradePrice/ram:BasisQuantity", "1")
    beside = row.iterfind(".//ram:SpecifiedTradeAllowanceCharge", NS)
    return number(row, ".//ram:BilledQuantity") * price / per + sum(
        (signed_amount(one) for one in beside), Fraction(0)
    )


def signed_amount(one: "etree._Element") -> Fraction:
    amount = number(one, "ram:ActualAmount")
    is_charge = text(one, "ram:ChargeIndicator/udt:Indicator") == "true"
    return amount if is_charge else -amount


def tax_of(row: "etree._Element", under: str) -> tuple[str, Fraction]:
    percent = number(row, f"{under}ram:RateApplicablePercent", "0")
    return text(row, f"{under}ram:CategoryCode"), percent


def half_up(value: Fraction, digits: int) -> Fraction:
    """Away from zero."""
    whole = Fraction(floor(abs(value) * 10**digits + Fraction(1, 2)), 10**digits)
    return whole if value >= 0 else -whole


def number(row: "etree._Element", path: str, default: str = "") -> Fraction:
    return Fraction(text(row, path, default))


def text(row: "etree._Element", path: str, default: str = "") -> str:
    return str(row.findtext(path, default, NS))
