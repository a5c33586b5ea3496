"""The statement of account: a page, and the same as a PDF for the customer."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET

from shop import pdf
from shop.billing.accounts.forms import PeriodForm
from shop.billing.accounts.statement import Statement, What, statement_of
from shop.billing.models import Payment
from shop.billing.wording import long_date
from shop.intake import accounts
from shop.intake.models import Customer
from shop.intake.pages import paper
from shop.intake.queries import customer_get
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.people.logos import logo_at

WHAT: Mapping[What, str | Promise] = {
    What.INVOICE: gettext_lazy("Invoice %(number)s"),
    What.CREDIT_NOTE: gettext_lazy("Credit note %(number)s"),
    What.PAYMENT: gettext_lazy("Payment, %(how)s"),
}


@roles(FRONT_DESK, OWNER)
@require_GET
def statement(request: AtWork, pk: int) -> HttpResponse:
    customer = customer_get(request.shop, pk)
    form = PeriodForm(request.GET or None, initial=_last_month(request))
    found = statement_of(customer, *_period(request, form))
    context = shown(found) | {"form": form, "customer": customer}
    status = 422 if form.is_bound and not form.is_valid() else 200
    return render(request, "accounts/statement.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_GET
def statement_pdf(request: AtWork, pk: int) -> HttpResponse:
    customer = customer_get(request.shop, pk)
    form = PeriodForm(request.GET or None)
    if form.is_bound and not form.is_valid():
        raise Http404
    first, last = _period(request, form)
    body = statement_paper(statement_of(customer, first, last))
    return paper(body, f"statement-{customer.pk}-{first}-{last}")


def statement_paper(found: Statement) -> bytes:
    """The same bytes as long as nothing of the period was added."""
    shop = found.customer.shop
    stamp = datetime.combine(found.last + timedelta(days=1), time(), shop.zone)
    logo = logo_at(shop, stamp)
    with translation.override(_language(found.customer)), timezone.override(shop.zone):
        context = shown(found) | {
            "stamp": stamp,
            "has_logo": bool(logo),
            "heading": _("Statement of account"),
            "seller": shop,
            "paper_size": shop.paper_size,
            "buyer": found.customer,
        }
        html = render_to_string("papers/statement.html", context)
    return pdf.render(html, stamp=stamp, logo=logo)


def shown(found: Statement) -> dict[str, Any]:
    """A statement in the words of the moment's language."""
    return {
        "statement": found,
        "currency": found.opening.currency,
        "first": long_date(found.first),
        "last": long_date(found.last),
        "entries": [
            (entry, _said(entry.what, entry.number, entry.how))
            for entry in found.entries
        ],
        "paid": -found.paid,
    }


def _said(what: What, number: str, how: str) -> str:
    label = str(Payment.Method(how).label) if how else ""
    return str(WHAT[what]) % {"number": number, "how": label}


def _language(customer: Customer) -> str:
    rules = accounts.rules_at(customer, timezone.now())
    return rules.language if rules else customer.language


def _period(request: AtWork, form: PeriodForm) -> tuple[date, date]:
    """What was asked for, else last month."""
    days = form.cleaned_data if form.is_bound and form.is_valid() else {}
    days = days or _last_month(request)
    return days["first"], days["last"]


def _last_month(request: AtWork) -> dict[str, date]:
    today = timezone.localdate(timezone=request.shop.zone)
    last = today.replace(day=1) - timedelta(days=1)
    return {"first": last.replace(day=1), "last": last}
