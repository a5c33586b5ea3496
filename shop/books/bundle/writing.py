"""The audit bundle of a period: one ZIP with everything, and a page that leads to it.

Read and written piece by piece. In the shop's usual language, with the accounts' names
of the period's last day, so that the same period gives the same bytes whoever asks.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing.models import Invoice
from shop.billing.papers import invoice_pdf
from shop.books import stock_tables, tables
from shop.books.advance_tables import advances
from shop.books.balance import TrialBalance
from shop.books.bundle.checks import series_of, ties
from shop.books.bundle.streaming import Part, Zip, csv_pieces
from shop.books.journal import entries
from shop.books.naming import Accounts, codes_of
from shop.books.periods import Period
from shop.books.rate_tables import rates

PAGE, SUMS = "index.html", "SHA256SUMS.txt"
PaperMaker = Callable[[Invoice], bytes]


def bundle(period: Period, *, paper: PaperMaker = invoice_pdf) -> Iterator[bytes]:
    """The ZIP in pieces. ``paper`` makes the PDF of an invoice or credit note."""
    with (
        translation.override(period.shop.language_codes[0]),
        timezone.override(period.shop.zone),
    ):
        archive = Zip()
        yield from archive.stream(_parts(period, archive, paper))


def _parts(period: Period, archive: Zip, paper: PaperMaker) -> Iterator[Part]:
    accounts, sums = Accounts(period.shop, period.last), TrialBalance()
    lines = tables.journal(sums.passing(entries(period)), accounts)
    for name, rows in (
        ("papers.csv", tables.papers(period)),
        ("numbers.csv", _numbers(period)),
        ("payments.csv", tables.payments(period)),
        ("journal.csv", lines),
        ("balances.csv", tables.balances(sums, accounts)),
        ("accounts.csv", tables.account_names(codes_of(period.shop), accounts)),
        ("open-invoices.csv", tables.owed(period)),
        ("advances.csv", advances(period, accounts)),
        ("cash-days.csv", tables.cash_days(period)),
        ("cash-moves.csv", tables.cash_moves(period)),
        ("stock-moves.csv", stock_tables.stock_moves(period)),
        ("stock-draws.csv", stock_tables.stock_draws(period)),
        ("stock-value.csv", stock_tables.stock_value(period)),
        ("rates.csv", rates(period)),
        ("sums.csv", _tied(period, sums)),
    ):
        yield name, csv_pieces(rows)
    for invoice in tables.papers_of(period):
        yield f"papers/{invoice.number}.pdf", _made(paper, invoice)
    yield PAGE, _page(period, archive, sums)
    yield SUMS, _hashes(archive)


def _made(paper: PaperMaker, invoice: Invoice) -> Iterator[bytes]:
    yield paper(invoice)


def _numbers(period: Period) -> Iterator[Sequence[object]]:
    """Every number from the first to the last of a series, whenever issued."""
    yield _("series"), _("serial"), _("number"), _("issued"), _("in the period")
    for series in series_of(period):
        rows = Invoice.objects.filter(
            shop=period.shop,
            kind=series.kind,
            serial__gte=series.first,
            serial__lte=series.last,
        ).order_by("serial")
        for row in rows.only("kind", "serial", "number", "issued_at").iterator():
            is_in = period.start <= row.issued_at < period.end
            at = tables.moment(row.issued_at, period)
            said = _("yes") if is_in else _("no")
            yield row.get_kind_display(), row.serial, row.number, at, said


def _tied(period: Period, sums: TrialBalance) -> Iterator[Sequence[object]]:
    yield _("what"), _("journal"), _("tables"), _("tie")
    for tie in ties(period, sums):
        said = _("yes") if tie.holds else _("NO")
        yield tie.what, tie.journal.amount, tie.tables.amount, said


def _page(period: Period, archive: Zip, sums: TrialBalance) -> Iterator[bytes]:
    context: dict[str, Any] = {
        "period": period,
        "shop": period.shop,
        "language": translation.get_language(),
        "files": [name for name in archive.hashes if not name.startswith("papers/")],
        "about": _about(),
        "papers": [name for name in archive.hashes if name.startswith("papers/")],
        "series": [(_kind(one.kind), one) for one in series_of(period)],
        "ties": list(ties(period, sums)),
        "is_empty": not sums.counts,
    }
    context["tables"] = [(name, _about()[name]) for name in context["files"]]
    yield render_to_string("books/bundle.html", context).encode()


def _kind(kind: str) -> str:
    return str(Invoice.Kind(kind).label)


def _about() -> dict[str, str]:
    return {
        "papers.csv": _("Invoices, prepayment invoices, credit notes: their sums."),
        "numbers.csv": _("Every number of each series, from the first to the last."),
        "payments.csv": _("Money in and back, each with its day end."),
        "journal.csv": _("The double-entry journal."),
        "balances.csv": _("What each account moved in the period."),
        "accounts.csv": _("The accounts, as the shop calls them."),
        "open-invoices.csv": _("What was not paid at the end of the period."),
        "advances.csv": _(
            "Advances and deposits: taken, set off against which paper, still held."
        ),
        "cash-days.csv": _("The till: expected, counted, the difference and why."),
        "cash-moves.csv": _("Cash put in or taken out without a ticket."),
        "stock-moves.csv": _("Parts onto the shelf and off it, at cost."),
        "stock-draws.csv": _("Of which lots each move of parts was."),
        "stock-value.csv": _("What lay on the shelf at the end, lot by lot, at cost."),
        "rates.csv": _("What was changed of rates, prices, tax and promises."),
        "sums.csv": _("Sums found on two ways, side by side."),
    }


def _hashes(archive: Zip) -> Iterable[bytes]:
    for name, digest in archive.hashes.items():
        yield f"{digest}  {name}\n".encode()
