"""The invoices of a month: every account on one page, each looked at before."""

from collections.abc import Collection
from datetime import date, datetime, timedelta

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from diagnostics import evidence
from shop.billing.accounts.draft import (
    Draft,
    accounts_of,
    draft_of,
    end_of,
    next_month,
)
from shop.billing.accounts.issuing import Copies, account_invoice_issue
from shop.billing.models import Invoice
from shop.billing.wording import number_shown
from shop.desk.before_invoice import unsettled
from shop.intake import accounts
from shop.intake import queries as tickets
from shop.intake.models import Customer, Ticket
from shop.people.access import OWNER, AtWork, roles
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def month_run(request: AtWork) -> HttpResponse:
    """Every account with something to bill; issued together, each as it was seen."""
    first = month_asked(request)
    refused: list[tuple[Customer, str]] = []
    if request.method == "POST":
        issued, refused = _issue_all(request, first)
        messages.success(request, _how_many(issued))
        if not refused:
            return redirect(f"{reverse('desk:month_run')}?month={first:%Y-%m}")
    drafts = _drafts(request, first)
    context = _around(request, first) | {
        "drafts": drafts,
        "is_any": any(draft.shares for draft in drafts),
        "refused": refused,
        "papers": _papers(request, first),
    }
    status = 422 if refused else 200
    return render(request, "accounts/month.html", context, status=status)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def month_of(request: AtWork, pk: int) -> HttpResponse:
    """One account's invoice as it would be, and the act that issues it."""
    first = month_asked(request)
    customer = tickets.customer_get(request.shop, pk)
    left_out = _left_out(request)
    refused = None
    if request.method == "POST" and request.POST.get("then") == "issue":
        try:
            invoice = issue(
                customer=customer,
                month=first,
                by=request.user,
                seen=request.POST.get("seen", ""),
                left_out=left_out,
            )
        except Refused as found:
            refused = found
        else:
            said = _("Invoice %(number)s is issued.") % {"number": invoice.number}
            messages.success(request, said)
            return redirect(f"{reverse('desk:month_run')}?month={first:%Y-%m}")
    draft = drafted(customer, first, left_out)
    if draft is None:
        return redirect("billing:account", pk=customer.pk)
    context = _around(request, first) | _shown(draft, left_out)
    context |= {"customer": customer, "refused": refused}
    status = 422 if refused else 200
    return render(request, "accounts/month_of.html", context, status=status)


def _how_many(issued: int) -> str:
    said = ngettext("%(n)d invoice is issued.", "%(n)d invoices are issued.", issued)
    return said % {"n": issued}


def month_asked(request: AtWork) -> date:
    """``?month=2026-03`` as its first day, else last month; 404 for what is none."""
    today = timezone.localdate(timezone=request.shop.zone)
    last_month = today.replace(day=1) - timedelta(days=1)
    asked = request.GET.get("month") or f"{last_month:%Y-%m}"
    try:
        return datetime.strptime(asked, "%Y-%m").date()  # noqa: DTZ007  a day alone
    except ValueError:
        raise Http404 from None


def issue(
    *,
    customer: Customer,
    month: date,
    by: Person,
    seen: str,
    left_out: Collection[int] = (),
    at: datetime | None = None,
) -> Invoice:
    """Issue one account's month, with what the bench says of each ticket."""
    at = at or timezone.now()
    draft = draft_of(customer, month, at, held=_held, left_out=left_out)
    if draft is None:
        raise Refused(_("This is no account customer."))
    language = draft.rules.language
    return account_invoice_issue(
        customer=customer,
        month=month,
        by=by,
        copies={one.ticket.pk: copies_of(one.ticket, language) for one in draft.shares},
        seen=seen,
        held=_held,
        left_out=left_out,
        at=at,
    )


def copies_of(ticket: Ticket, language: str) -> Copies:
    story = tickets.story_of(ticket)
    with translation.override(language):
        rows = evidence.for_an_invoice(ticket)
    return Copies(
        story={
            "told": story.told,
            "found": story.found,
            "done": story.done,
            "proved": story.proved,
        },
        evidence=rows,
    )


def drafted(
    customer: Customer, month: date, left_out: Collection[int] = ()
) -> Draft | None:
    return draft_of(customer, month, timezone.now(), held=_held, left_out=left_out)


def _held(ticket: Ticket) -> str:
    """Minutes that nobody confirmed would be billed by no invoice later."""
    minutes = unsettled(ticket)
    if not minutes:
        return ""
    return _("%(n)d minutes are not confirmed yet.") % {"n": minutes}


def _issue_all(request: AtWork, month: date) -> tuple[int, list[tuple[Customer, str]]]:
    """Each account by itself: one that is refused keeps no other back."""
    issued, refused = 0, []
    for customer in accounts_of(request.shop):
        seen = request.POST.get(f"seen-{customer.pk}", "")
        if not seen:
            continue
        try:
            issue(customer=customer, month=month, by=request.user, seen=seen)
        except Refused as why:
            refused.append((customer, str(why)))
        else:
            issued += 1
    return issued, refused


def _drafts(request: AtWork, month: date) -> list[Draft]:
    found = (drafted(customer, month) for customer in accounts_of(request.shop))
    return [one for one in found if one and (one.shares or one.waiting)]


def _papers(request: AtWork, month: date) -> list[Invoice]:
    rows = Invoice.objects.filter(shop=request.shop, account__month=month)
    return list(rows.select_related("account__customer").order_by("id"))


def _around(request: AtWork, month: date) -> dict[str, object]:
    before = (month - timedelta(days=1)).replace(day=1)
    return {
        "month": month,
        "before": before.strftime("%Y-%m"),
        "after": next_month(month).strftime("%Y-%m"),
        "is_over": timezone.now() >= end_of(request.shop, month),
        "currency": request.shop.currency,
    }


def _left_out(request: AtWork) -> list[int]:
    """Boxes that were unticked: of the tickets shown, those that were not sent."""
    offered = _ids(request, "shown")
    return [pk for pk in offered if pk not in set(_ids(request, "bill"))]


def _ids(request: AtWork, name: str) -> list[int]:
    typed = request.POST.getlist(name)
    return [int(pk) for pk in typed if pk.isascii() and pk.isdigit() and len(pk) < 18]


def _shown(draft: Draft, left_out: Collection[int]) -> dict[str, object]:
    return {
        "draft": draft,
        "left_out": [one for one in draft.waiting if one.ticket.pk in set(left_out)],
        "held": [one for one in draft.waiting if one.ticket.pk not in set(left_out)],
        "taxes": [(number_shown(part.percent), part) for part in draft.sums.taxes],
        "rules": accounts.rules_at(draft.customer, timezone.now()),
    }
