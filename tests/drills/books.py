"""A year's journal balances; a million payments add up; a big bundle stays small.

The year is told by the services (``year.py``). What the journal says is held against
what the rows say by themselves: each ticket's balance, the till, the papers.
"""

import random
import resource
import zipfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from django.db.models import Sum

from shop.billing import queries as money
from shop.billing.models import Invoice, Payment
from shop.books import till
from shop.books.balance import trial_balance
from shop.books.bundle.checks import series_of, ties
from shop.books.bundle.writing import bundle
from shop.books.journal import entries
from shop.books.periods import Period
from shop.books.posting.accounts import Account
from shop.books.queries import open_invoices
from shop.people.models import Person, Shop
from tests.drills.place import Result
from tests.drills.scene import shop_and_person
from tests.drills.year import live

MILLION = 1_000_000
ROWS_AT_ONCE = 5_000
LAST = date(2025, 12, 31)
MOST_GROWTH_KIB = 60_000


def run(seed: int, rounds: int) -> Result:

    shop, by = shop_and_person()
    live(shop, by, rounds, seed)
    lost = list(faults(shop))
    grown, size, more = bundle_faults(shop)
    lost += more
    counts = {
        "tickets": rounds,
        "payments": Payment.objects.filter(shop=shop).count(),
        "KiB of bundle": size // 1024,
        "KiB more of memory": grown,
    }
    if rounds >= 1000:
        counts["rows summed"] = MILLION
        lost += million_faults(shop, by, seed)
    return Result("books", counts, tuple(lost))


def faults(shop: Shop) -> Iterator[str]:
    """What of the year's journal disagrees with the rows."""

    year = Period(shop, date(2025, 1, 1), LAST)
    sums = trial_balance(entries(year))
    if sums.total.debit != sums.total.credit or not sums.total.debit:
        yield f"debit {sums.total.debit}, credit {sums.total.credit}"
    owed = prepaid = 0
    for ticket in shop.tickets.all():
        papers = ticket.invoices.aggregate(sum=Sum("total_minor"))["sum"] or 0
        left = papers - money.paid(ticket).minor
        owed, prepaid = owed + max(left, 0), prepaid + max(-left, 0)
    booked = {
        "owed": (sums.balance(shop.currency, Account.RECEIVABLES), owed),
        "prepaid": (-sums.balance(shop.currency, Account.PREPAYMENTS), prepaid),
        "aged": (sum(one.owed for one in open_invoices(shop)), owed),
        "till": (
            sums.balance(shop.currency, Account.CASH),
            till.now(shop).expected.minor,
        ),
        "papers": (
            sum(sums.counts[kind] for kind in Invoice.Kind),
            Invoice.objects.filter(shop=shop).count(),
        ),
    }
    yield from (f"{what}: {a} and {b}" for what, (a, b) in booked.items() if a != b)
    yield from (f"{tie.what} does not tie" for tie in ties(year, sums) if not tie.holds)
    yield from (f"gaps {one.gaps}" for one in series_of(year) if not one.is_whole)
    yield from _months_faults(shop, sums.total.debit)


def _months_faults(shop: Shop, whole: int) -> Iterator[str]:
    """Twelve months are the year, and each balances and ties by itself."""

    debit = 0
    for month in range(1, 13):
        first = date(2025, month, 1)
        last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
        period = Period(shop, first, last)
        sums = trial_balance(entries(period))
        debit += sums.total.debit
        for tie in ties(period, sums):
            if not tie.holds:
                yield f"month {month}: {tie.what} does not tie"
    if debit != whole:
        yield f"the months come to {debit}, the year to {whole}"


def bundle_faults(shop: Shop) -> tuple[int, int, list[str]]:
    """Memory that a year's bundle takes beside a day's, its bytes, what is wrong.

    Its papers are stand-ins of a paper's size: drawing real ones is another matter.
    """

    stand_in = random.Random(1).randbytes(60_000)
    lost = []
    for _piece in bundle(Period(shop, LAST, LAST), paper=lambda _row: stand_in):
        pass
    before = peak_kib()
    year = Period(shop, date(2025, 1, 1), LAST)
    with TemporaryDirectory(prefix="coldrail-books-") as folder:
        files = [Path(folder) / name for name in ("one.zip", "two.zip")]
        for file in files:
            with file.open("wb") as target:
                for piece in bundle(year, paper=lambda _row: stand_in):
                    target.write(piece)
        grown, size = peak_kib() - before, files[0].stat().st_size
        if files[0].read_bytes() != files[1].read_bytes():
            lost.append("the same period gave other bytes")
        with zipfile.ZipFile(files[0]) as archive:
            if (torn := archive.testzip()) is not None:
                lost.append(f"{torn} is torn")
    if grown > MOST_GROWTH_KIB:
        lost.append(f"the bundle took {grown} KiB more")
    return grown, size, lost


def peak_kib() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def million_faults(shop: Shop, by: Person, seed: int) -> list[str]:
    """A sum over a million rows is that of the integers, to the cent."""

    ticket = shop.tickets.earliest("id")
    chance, expected = random.Random(seed), 0
    start = Payment.objects.aggregate(sum=Sum("amount_minor"))["sum"]
    for _piece in range(MILLION // ROWS_AT_ONCE):
        minors = [chance.randint(1, 99_999) for _row in range(ROWS_AT_ONCE)]
        expected += sum(minors)
        Payment.objects.bulk_create(
            Payment(
                shop=shop,
                ticket=ticket,
                currency=shop.currency,
                amount_minor=minor,
                method="card",
                by=by,
            )
            for minor in minors
        )
    found = Payment.objects.aggregate(sum=Sum("amount_minor"))["sum"] - start
    return [] if found == expected else [f"{found} for {expected}"]
