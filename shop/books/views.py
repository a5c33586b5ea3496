"""The books of a period: papers, journal, tables for an accountant, the bundle."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.billing.models import Invoice
from shop.books import month_sums, services, tables
from shop.books.balance import TrialBalance
from shop.books.bundle.streaming import csv_pieces
from shop.books.bundle.writing import bundle as pieces_of_bundle
from shop.books.forms import AccountsForm, PeriodForm
from shop.books.journal import entries
from shop.books.naming import Accounts, codes_of
from shop.books.periods import Period, month_before, period_of
from shop.books.services import Named
from shop.intake.forms_shown import typed
from shop.money import Money
from shop.people.access import AUDITOR, OWNER, AtWork, fresh, roles
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.idempotency import once
from shop.records.kinds import Kind

PAPERS_SHOWN = 100
Rows = Callable[[Period], Iterable[Sequence[object]]]
TABLES: Mapping[str, Rows] = {
    "papers": tables.papers,
    "payments": tables.payments,
    "journal": lambda period: tables.journal(
        entries(period), Accounts(period.shop, period.last)
    ),
}


DOWNLOADS = (
    ("books:journal", gettext_lazy("Journal (CSV)")),
    ("books:papers", gettext_lazy("Papers (CSV)")),
    ("books:payments", gettext_lazy("Payments (CSV)")),
)


Asked = tuple[PeriodForm, Period | None]


def _asked(request: AtWork, data: Mapping[str, Any]) -> Asked:
    """The period that was asked for; the last whole month where none was."""
    today = timezone.localdate(timezone=request.shop.zone)
    first, last = month_before(today)
    form = PeriodForm(
        data if "first" in data or "last" in data else None,
        initial={"first": first, "last": last},
    )
    if form.is_bound:
        if not form.is_valid():
            return form, None
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    try:
        return form, period_of(request.shop, first, last, today)
    except Refused as refused:
        form.add_error(refused.field, str(refused))
        return form, None


@roles(OWNER, AUDITOR)
@require_GET
def books(request: AtWork) -> HttpResponse:
    form, period = _asked(request, request.GET)
    return _page(request, form, period, page=request.GET.get("page", ""))


def _page(
    request: AtWork, form: forms.Form, period: Period | None, *, page: str = ""
) -> HttpResponse:
    context: dict[str, Any] = {"form": form, "period": period, "downloads": DOWNLOADS}
    if period is not None:
        sums = month_sums.sums_of(period)
        papers = Invoice.objects.filter(
            shop=period.shop, issued_at__gte=period.start, issued_at__lt=period.end
        )
        context |= {
            **_journal_shown(period, sums),
            "papers": _papers_shown(papers, page),
            "days": period.shop.cash_days.filter(
                at__gte=period.start, at__lt=period.end
            ).select_related("by"),
        }
    status = 200 if period is not None else 422
    return render(request, "books/books.html", context, status=status)


def _journal_shown(period: Period, sums: TrialBalance | None) -> dict[str, Any]:
    """What each account moved; not summed where nobody could wait for it."""
    if sums is None:
        return {"is_too_much": True}
    return {
        "is_empty": not sums.counts,
        "balances": list(_balances(sums, Accounts(period.shop, period.last))),
        "total": _total(sums, period.shop.currency),
    }


def _papers_shown(papers: QuerySet[Invoice], page: str) -> Page[Invoice]:
    """The newest first, some at a time; what is no page is the nearest one."""
    in_order = papers.order_by("-issued_at", "-id")
    return Paginator(in_order, PAPERS_SHOWN).get_page(page)


def _balances(sums: TrialBalance, accounts: Accounts) -> Iterator[dict[str, Any]]:
    for currency in sorted({currency for currency, _code in sums.moved}):
        moved = sums.of(currency)
        for code in accounts.in_order(moved):
            yield {
                "number": accounts.number(code),
                "name": accounts.name(code),
                "debit": Money.from_minor(moved[code].debit, currency),
                "credit": Money.from_minor(moved[code].credit, currency),
            }


def _total(sums: TrialBalance, currency: str) -> dict[str, Money] | None:
    """Of a journal in one currency."""
    if {own for own, _code in sums.moved} != {currency}:
        return None
    return {
        "debit": Money.from_minor(sums.total.debit, currency),
        "credit": Money.from_minor(sums.total.credit, currency),
    }


@roles(OWNER, AUDITOR)
@require_GET
def table(request: AtWork, name: str) -> HttpResponse | StreamingHttpResponse:
    """A table of the period as CSV, in pieces."""
    form, period = _asked(request, request.GET)
    if period is None:
        return _page(request, form, None)
    pieces = _spoken(period, csv_pieces(TABLES[name](period)))
    return _file(pieces, f"{name}-{period}.csv", "text/csv; charset=utf-8")


def _spoken(period: Period, pieces: Iterable[bytes]) -> Iterator[bytes]:
    """In the language of who asks, which is no longer active when it is sent."""
    language = translation.get_language()

    def spoken() -> Iterator[bytes]:
        with translation.override(language), timezone.override(period.shop.zone):
            yield from pieces

    return spoken()


def _file(pieces: Iterable[bytes], name: str, kind: str) -> StreamingHttpResponse:
    response = StreamingHttpResponse(pieces, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "no-store"
    return response


@roles(OWNER, AUDITOR)
@require_POST
@fresh
def bundle(request: AtWork) -> HttpResponse | StreamingHttpResponse:
    """The audit bundle. Not ``once``: a kept answer would hold all of it."""
    form, period = _asked(request, request.POST)
    if period is None or not form.is_bound:
        return _page(request, form, None)
    records.event_record(
        Kind.BOOKS_GIVEN,
        shop_id=request.shop.pk,
        by_id=request.user.pk,
        codes={"what": "bundle", "period": str(period)},
    )
    return _file(
        pieces_of_bundle(period), f"audit-bundle-{period}.zip", "application/zip"
    )


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def accounts(request: AtWork) -> HttpResponse:
    """What the accountant calls the accounts, from a day on."""
    today = timezone.localdate(timezone=request.shop.zone)
    named = Accounts(request.shop, today)
    codes = {
        code: (named.number(code), named.name(code)) for code in codes_of(request.shop)
    }
    since = today.replace(month=1, day=1)
    form = AccountsForm(typed(request), codes=codes, since=since)
    if form.is_bound and form.is_valid():
        try:
            _name(request, form)
        except Refused as refused:
            form.add_error(f"{refused.field}-number", str(refused))
        else:
            messages.success(request, _("Kept."))
            return redirect("books:accounts")
    status = 422 if form.is_bound else 200
    return render(request, "books/accounts.html", {"form": form}, status=status)


@transaction.atomic
def _name(request: AtWork, form: AccountsForm) -> None:
    services.accounts_name(
        shop=request.shop,
        by=request.user,
        since=form.cleaned_data["since"],
        named=[
            Named(
                code,
                form.cleaned_data[f"{code}-number"],
                form.cleaned_data[f"{code}-name"],
            )
            for code in form.codes
        ],
    )
