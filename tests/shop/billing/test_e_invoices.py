"""E-invoices against the standard's own judges: XSD, Schematron, a second reckoning."""

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from shop.billing.einvoice import cii, codes
from shop.billing.einvoice.document import (
    CREDIT_NOTE,
    Document,
    Party,
    Payment,
    TaxPart,
)
from shop.billing.einvoice.rules import Why, why_not
from tests.einvoicing import reckoning
from tests.einvoicing.documents import (
    CENT,
    WITH_VAT_ID,
    document,
    drawn,
    line,
)
from tests.einvoicing.judging import rules_broken, shape_errors

DRAWN = 200


def judged(made: Document) -> set[str]:
    """What is wrong with a document's XML: its shape, or the rules it breaks."""
    xml = cii.written(made)
    return set(shape_errors(xml)) or rules_broken(xml)


def test_200_drawn_invoices_pass_the_standard_and_a_second_reckoning() -> None:
    chance = Random(931)
    kinds = set()
    for count in range(DRAWN):
        made = drawn(chance)
        assert why_not(made) is None, (count, made)
        xml = cii.written(made)
        assert not shape_errors(xml), (count, made)
        assert not rules_broken(xml), (count, made)
        assert not reckoning.faults(xml), (count, made)
        kinds |= {part.category for part in made.taxes} | {made.kind}
    assert kinds == {"S", "Z", "E", "AE", "K", "G", "O", "380", "381", "386"}


def with_sums(made: Document, **changed: Decimal) -> Document:
    return replace(made, sums=replace(made.sums, **changed))


def taxed_more(made: Document, more: str) -> Document:
    """The same with too much tax, its sums following."""
    (part,) = made.taxes
    tax = part.tax + Decimal(more)
    total = made.sums.net + tax
    sums = replace(made.sums, tax=tax, total=total, due=total)
    return replace(made, taxes=(replace(part, tax=tax),), sums=sums)


PLAIN = document()
REVERSED = document(line(percent="0", category="AE"), buyer=WITH_VAT_ID)
WITHOUT_TAX_ID = replace(PLAIN.seller, vat_id="")
NAMELESS = replace(PLAIN.seller, name="")
NOWHERE = replace(PLAIN.seller, country="")
ODD_UNIT = replace(PLAIN.items[0], unit="HOUR")
NO_TAX = document(line(percent="0", category="E"))
WRONG = {
    "a total of a cent too much": (
        with_sums(PLAIN, total=PLAIN.sums.total + CENT),
        "BR-CO-15",
        Why.SUMS,
    ),
    "a due amount of a cent too little": (
        with_sums(PLAIN, due=PLAIN.sums.due - CENT),
        "BR-CO-16",
        Why.SUMS,
    ),
    "lines that come to something else": (
        with_sums(PLAIN, items=PLAIN.sums.items + CENT),
        "BR-CO-10",
        Why.SUMS,
    ),
    "a tax that is no share of its sum": (
        taxed_more(PLAIN, "1.02"),
        "BR-CO-17",
        Why.SUMS,
    ),
    "tax on what no line has": (
        replace(PLAIN, taxes=(replace(PLAIN.taxes[0], taxable=Decimal(99)),)),
        "BR-S-08",
        Why.SUMS,
    ),
    "no seller's name": (replace(PLAIN, seller=NAMELESS), "BR-06", Why.SELLER_TAX_ID),
    "no seller's country": (
        replace(PLAIN, seller=NOWHERE),
        "BR-09",
        Why.SELLER_COUNTRY,
    ),
    "no tax id": (
        replace(PLAIN, seller=WITHOUT_TAX_ID),
        "BR-S-02",
        Why.SELLER_TAX_ID,
    ),
    "no buyer's name": (
        replace(PLAIN, buyer=replace(PLAIN.buyer, name="")),
        "BR-07",
        Why.BUYER_NAME,
    ),
    "no buyer's country": (
        replace(PLAIN, buyer=replace(PLAIN.buyer, country="")),
        "BR-11",
        Why.BUYER_COUNTRY,
    ),
    "reverse charge to no VAT id": (
        replace(REVERSED, buyer=PLAIN.buyer),
        "BR-AE-02",
        Why.BUYER_VAT_ID,
    ),
    "an exemption without a reason": (
        replace(NO_TAX, taxes=(replace(NO_TAX.taxes[0], reason=""),)),
        "BR-E-10",
        Why.TAX_REASON,
    ),
    "standard tax of nothing": (
        document(line(percent="0", category="S")),
        "BR-S-05",
        Why.TAX_CATEGORY,
    ),
    "outside of tax, and taxed": (
        document(line(), line(percent="0", category="O")),
        "BR-O-11",
        Why.TAX_CATEGORY,
    ),
    "a unit that nobody knows": (
        replace(PLAIN, items=(ODD_UNIT,)),
        "FX-SCH-A-000613",  # Factur-X, beside BR-CL-23
        Why.LINES,
    ),
    "a line without words": (
        replace(PLAIN, items=(replace(PLAIN.items[0], text=""),)),
        "BR-25",
        Why.LINES,
    ),
    "no line at all": (replace(PLAIN, items=()), "BR-16", Why.LINES),
}


@pytest.mark.parametrize(("made", "rule", "why"), WRONG.values(), ids=WRONG)
def test_what_the_standard_refuses_is_refused_by_us_first(
    made: Document, rule: str, why: Why
) -> None:
    """Each breaks a rule for the standard's judges, and is never written by us."""
    xml = cii.written(made)
    assert shape_errors(xml) or rule in rules_broken(xml)
    assert why_not(made) == why


def test_what_the_artefact_lets_pass_is_refused_by_us() -> None:
    """Check-values 6.36: it has a slack of 1.00 on tax; a cent is too much for us."""
    made = taxed_more(PLAIN, "0.01")
    assert judged(made) == set()
    assert why_not(made) == Why.SUMS
    assert "taxes" in reckoning.faults(cii.written(made))


def test_a_net_that_is_not_quantity_times_price_is_refused() -> None:
    """Nor does the artefact look at this (check-values, chapter 6, note to line 1)."""
    odd = replace(PLAIN.items[0], quantity=Decimal(2))
    made = replace(PLAIN, items=(odd,))
    assert judged(made) == set()
    assert why_not(made) == Why.LINES


@pytest.mark.parametrize("currency", ["XBT", "EURO", "", "KWD", "BGN"])
def test_a_currency_of_no_list_or_of_three_decimals_is_refused(currency: str) -> None:
    assert why_not(replace(PLAIN, currency=currency)) == Why.CURRENCY


def test_an_hour_told_in_minutes_keeps_its_price_by_the_hour() -> None:
    made = document(line("10", "70.00", unit="MIN"))
    xml = cii.written(made).decode()
    assert '<ram:BasisQuantity unitCode="MIN">60</ram:BasisQuantity>' in xml
    assert made.sums.items == Decimal("11.67")
    assert judged(made) == set()


def test_a_credit_note_names_what_it_takes_back() -> None:
    made = document(
        kind=CREDIT_NOTE, preceding="2026-0007", preceding_on=PLAIN.issued_on
    )
    xml = cii.written(made).decode()
    assert "<ram:TypeCode>381</ram:TypeCode>" in xml
    assert "<ram:IssuerAssignedID>2026-0007</ram:IssuerAssignedID>" in xml
    assert judged(made) == set()


def test_a_shop_with_a_tax_number_alone_is_named_by_it() -> None:
    seller = replace(PLAIN.seller, vat_id="", tax_number="21/815/08150")
    made = replace(PLAIN, seller=seller)
    assert judged(made) == set()
    assert why_not(made) is None


def test_an_account_that_is_no_iban_is_named_as_it_is_printed() -> None:
    made = replace(PLAIN, payment=Payment(account="00-00-00 318"))
    assert "<ram:ProprietaryID>00-00-00 318<" in cii.written(made).decode()
    assert judged(made) == set()


def test_signs_that_xml_can_not_hold_are_left_out() -> None:
    buyer = Party("Ada \x0bPell\x00 \ud83d", "DE", ("17 <Weir> & Street",))
    made = replace(PLAIN, buyer=buyer)
    assert "<ram:Name>Ada Pell</ram:Name>" in cii.written(made).decode()
    assert judged(made) == set()


def test_our_codes_are_those_of_the_newer_lists() -> None:
    """What drafthorse carries is older than what factur-x judges by."""
    for currency in sorted(codes.currencies()):
        if currency in {"EUR", "SEK", "CHF", "ISK", "XCD", "USD"}:
            assert judged(document(line(currency=currency))) == set()
    assert {"IE", "DE", "CH", "NO", "GB", "XI"} <= codes.countries()
    assert {"C62", "H87", "HUR", "MIN"} <= codes.units()


def test_the_same_document_is_the_same_bytes() -> None:
    assert cii.written(document()) == cii.written(document())


def test_a_part_of_tax_is_needed_for_each_rate() -> None:
    extra = TaxPart("S", Decimal(7), Decimal(0), Decimal(0))
    made = replace(PLAIN, taxes=(*PLAIN.taxes, extra))
    assert why_not(made) == Why.SUMS
