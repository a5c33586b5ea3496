"""The journal's entries: a textbook's, laws that any history obeys, and series."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.books.balance import TrialBalance, trial_balance
from shop.books.bundle.numbers import Series
from shop.books.posting import others
from shop.books.posting.accounts import Account, Rate, advances, revenue, tax
from shop.books.posting.ageing import Open, aged, by_buyer, spread
from shop.books.posting.entries import Entry, Line, Unbalanced, lines_of
from shop.books.posting.owed import Fact, Paid, Paper, TaxPart, booked

pytestmark = pytest.mark.one_database
DAY = date(2026, 1, 1)
START = datetime(2026, 1, 1, tzinfo=UTC)


def paper(
    n: int, net: int, *, percent: int = 0, prepaid: int = 0, advance: int = 0
) -> Paper:
    """An invoice at hour ``n``; a credit note where the net is below zero."""
    part = TaxPart(Rate("S", percent * 100), net, net * percent // 100, advance)
    kind = "invoice" if net > 0 else "credit_note"
    total = part.taxable + part.tax
    at = START + timedelta(hours=n)
    return Paper(n, at, DAY, kind, f"{n}", "EUR", total, prepaid, (part,))


def paid(n: int, amount: int, method: str = "cash", **more: int) -> Paid:
    at = START + timedelta(hours=n)
    after = bool(more.pop("after", 0))
    return Paid(n, at, DAY, f"P{n}", "EUR", amount, method, after, **more)


def balances(*facts: Fact) -> dict[str, int]:
    sums = trial_balance(entry for _fact, entry in booked(facts))
    found = {code: moved.balance for code, moved in sums.of("EUR").items()}
    return {code: balance for code, balance in found.items() if balance}


def test_the_textbook_example_of_a_service_firm() -> None:
    """OpenStax, Principles of Accounting, Volume 1, section 3.5 (Printing Plus).

    January: 4,000 in advance on the 9th is unearned revenue, a liability; 5,500
    billed on the 10th is a receivable and revenue; 2,800 of services paid at once
    on the 17th; 5,500 received on the 23rd ends the receivable; 1,200 billed on the
    27th. Unadjusted trial balance: receivables 1,200, unearned revenue 4,000, service
    revenue 9,500. The 17th is a paper and its payment here. Figures from memory.
    """
    facts: list[tuple[Fact, ...]] = [
        (paid(9, 4000_00),),
        (paper(10, 5500_00), paid(23, 5500_00, after=1)),
        (paper(17, 2800_00), paid(18, 2800_00, after=1)),
        (paper(27, 1200_00),),
    ]
    sums = TrialBalance()
    for job in facts:
        for _fact, entry in booked(job):
            sums.add(entry)
    assert sums.balance("EUR", Account.RECEIVABLES) == 1200_00
    assert sums.balance("EUR", Account.PREPAYMENTS) == -4000_00
    assert sums.balance("EUR", revenue(Rate("S", 0))) == -9500_00
    assert sums.balance("EUR", Account.CASH) == 12300_00
    assert sums.total.debit == sums.total.credit


def test_the_worked_case_of_a_deposit_applied_at_invoicing() -> None:
    """domain.md, section 12, case A: 101.00 + 20.20 = 121.20; 42.00 before; 79.20."""
    before = paid(1, 42_00)
    bill = paper(2, 101_00, percent=20, prepaid=42_00)
    assert balances(before) == {Account.CASH: 42_00, Account.PREPAYMENTS: -42_00}
    assert balances(before, bill) == {
        Account.CASH: 42_00,
        Account.RECEIVABLES: 79_20,
        revenue(Rate("S", 2000)): -101_00,
        tax(Rate("S", 2000)): -20_20,
    }
    settled = balances(before, bill, paid(3, 79_20, "card", after=1))
    assert settled[Account.CARDS] == 79_20
    assert Account.RECEIVABLES not in settled


def test_a_credit_note_reverses_and_a_refund_ends_it() -> None:
    bill, note = paper(1, 100_00, percent=20), paper(3, -100_00, percent=20)
    taken = paid(2, 120_00, after=1)
    assert balances(bill, taken, note) == {
        Account.CASH: 120_00,
        Account.PREPAYMENTS: -120_00,
    }
    assert balances(bill, taken, note, paid(4, -120_00)) == {}


def test_a_billed_advance_is_a_liability_until_the_work_is_billed() -> None:
    """An advance of 1,190 and a final invoice of 3,570, 19 % in both.

    The net method: the net of the advance on a liability of its own, its tax payable
    at once; the final invoice takes it from there, and revenue is that of the whole
    work (Deutsche Handwerks Zeitung, "Anzahlung erhalten: So verbuchen Sie den
    Zahlungseingang", 2023; chart of accounts SKR 03, 1718, as in Infoportal
    Buchhaltung, "Anzahlungen, erhaltene"; the two sums from lexware.de, FAQ 2504).
    """
    s19 = Rate("S", 1900)
    bill = paper(1, 1000_00, percent=19, advance=1000_00)
    taken = paid(2, 1190_00, "transfer", after=1)
    assert balances(bill, taken) == {
        Account.BANK: 1190_00,
        advances(s19): -1000_00,
        tax(s19): -190_00,
    }
    final = paper(3, 2000_00, percent=19, advance=-1000_00)
    assert balances(bill, taken, final) == {
        Account.BANK: 1190_00,
        Account.RECEIVABLES: 2380_00,
        revenue(s19): -3000_00,
        tax(s19): -570_00,
    }
    undone = paper(4, -2000_00, percent=19, advance=1000_00)
    assert balances(bill, taken, final, undone) == balances(bill, taken)
    note = paper(5, -1000_00, percent=19, advance=-1000_00)
    back = paid(6, -1190_00, "transfer")
    assert balances(bill, taken, final, undone, note, back) == {}


def test_coins_of_nothing_still_settle_a_cent() -> None:
    """0.02 owed where the least coin is 0.05: none changes hands, nothing is left."""
    found = balances(paper(1, 2), paid(2, 0, after=1, rounding=-2))
    assert found == {Account.ROUNDING: 2, revenue(Rate("S", 0)): -2}


def test_cash_rounding_is_on_the_payment_and_settles_nothing() -> None:
    """79.98 owed, 80.00 paid: two cents are rounding, and nothing stays open."""
    found = balances(paper(1, 79_98), paid(2, 80_00, after=1, rounding=2))
    assert found == {
        Account.CASH: 80_00,
        Account.ROUNDING: -2,
        revenue(Rate("S", 0)): -79_98,
    }


MOVES = st.lists(
    st.tuples(
        st.sampled_from(["bill", "credit", "advance", "final", "pay", "back"]),
        st.integers(1, 900),
    ),
    max_size=12,
)
ADVANCE = {"advance": 1, "final": -1}


@given(MOVES)
def test_any_history_balances_and_owes_what_papers_less_payments_are(
    moves: list[tuple[str, int]],
) -> None:
    """A job never owes and has prepaid at once; entries come to nothing each."""
    facts: list[Fact] = []
    for n, (what, minor) in enumerate(moves):
        if what in {"bill", "credit", "advance", "final"}:
            net = -minor if what == "credit" else minor
            of_it = ADVANCE.get(what, 0) * minor
            facts.append(paper(n, net, percent=19, advance=of_it))
        else:
            facts.append(paid(n, minor if what == "pay" else -minor))
    found = Counter[str]()
    for _fact, entry in booked(facts):
        assert sum(line.minor for line in entry.lines) == 0
        for line in entry.lines:
            found[line.account] += line.minor
    papers = [one for one in facts if isinstance(one, Paper)]
    billed = sum(one.total for one in papers)
    parts = [part for one in papers for part in one.taxes]
    s19 = Rate("S", 1900)
    assert found[advances(s19)] == -sum(part.advance for part in parts)
    assert found[revenue(s19)] + found[advances(s19)] == -sum(
        part.taxable for part in parts
    )
    received = sum(one.amount for one in facts if isinstance(one, Paid))
    owed, prepaid = found[Account.RECEIVABLES], -found[Account.PREPAYMENTS]
    assert owed - prepaid == billed - received
    assert (owed, prepaid) == (max(billed - received, 0), max(received - billed, 0))
    assert found[Account.CASH] == received


def test_an_entry_that_does_not_balance_is_never_made() -> None:
    with pytest.raises(Unbalanced):
        Entry(DAY, "invoice", "1", "EUR", (Line("cash", 1),))


def test_cash_and_goods_have_their_other_side() -> None:
    def sides(entry: Entry) -> dict[str, int]:
        return {line.account: line.minor for line in entry.lines}

    to_bank = others.cash_moved(DAY, "M1", "EUR", "to_bank", -500)
    assert sides(to_bank) == {Account.CASH: -500, Account.BANK: 500}
    short = others.cash_counted(DAY, "D2", "EUR", -35, is_first=False)
    assert sides(short) == {Account.CASH: -35, Account.CASH_DIFFERENCES: 35}
    float_ = others.cash_counted(DAY, "D1", "EUR", 100, is_first=True)
    assert sides(float_) == {Account.CASH: 100, Account.OWNER: -100}
    used = others.stock_moved(DAY, "S1", "EUR", "used", -640, is_first=False)
    assert sides(used) == {Account.STOCK: -640, Account.PARTS_COST: 640}
    begun = others.stock_moved(DAY, "S2", "EUR", "counted", 640, is_first=True)
    assert sides(begun) == {Account.STOCK: 640, Account.OWNER: -640}
    back = others.stock_moved(DAY, "S4", "EUR", "sent_back", -64, is_first=False)
    assert sides(back) == {Account.STOCK: -64, Account.SUPPLIERS: 64}
    lost = others.stock_moved(DAY, "S3", "EUR", "counted", -64, is_first=False)
    assert sides(lost) == {Account.STOCK: -64, Account.STOCK_DIFFERENCES: 64}
    bought = others.part_bought(DAY, "U1", "EUR", 640)
    assert sides(bought) == {Account.PARTS_COST: 640, Account.SUPPLIERS: -640}
    assert lines_of(("a", 0)) == ()


DUES = st.lists(
    st.tuples(st.sampled_from(["Ada", "Iris", ""]), st.integers(-20, 60)), max_size=20
)


@given(DUES)
def test_the_aged_list_loses_nothing(rows: list[tuple[str, int]]) -> None:
    found = [
        Open(n, f"{n}", buyer, DAY - timedelta(days=late), owed=n + 1)
        for n, (buyer, late) in enumerate(rows)
    ]
    assert aged(found, DAY).total == sum(one.owed for one in found)
    assert aged(found, DAY).not_due == sum(
        one.owed for one in found if one.days_late(DAY) < 0
    )
    groups = by_buyer(found, DAY)
    assert sum(sums.total for _buyer, sums, _ones in groups) == aged(found, DAY).total
    totals = [sums.total for _buyer, sums, _ones in groups]
    assert totals == sorted(totals, reverse=True)


@given(st.lists(st.integers(1, 500), min_size=1), st.integers(0, 500))
def test_what_is_owed_lies_on_the_newest_papers(totals: list[int], owed: int) -> None:
    owed = min(owed, sum(totals))
    shares = spread(owed, totals)
    assert sum(shares) == owed
    assert all(0 <= share <= whole for share, whole in zip(shares, totals, strict=True))


def test_a_series_names_its_gaps() -> None:
    whole = Series("invoice", before=4)
    whole.passing([5, 6, 7])
    assert (whole.is_whole, whole.first, whole.last, whole.count) == (True, 5, 7, 3)
    torn = Series("invoice", before=4)
    torn.passing([6, 7, 10])
    assert torn.gaps == ["5", "8-9"]
    first = Series("invoice", before=None)
    first.passing([41, 42])
    assert first.is_whole
