"""What customers owe, by age; reminders, and after how many days they go out."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.billing.models import Invoice
from shop.billing.place import at_invoice
from shop.books import queries, reminders, services
from shop.books.forms import ReminderRuleForm
from shop.books.posting.ageing import BUCKETS, Aged, Open, aged, by_buyer
from shop.intake.forms_shown import typed
from shop.intake.pages import paper
from shop.money import Money
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.people.models import Shop
from shop.records.errors import Refused
from shop.records.idempotency import once

HEADS = ("0–3", "4–7", "8–14", "15–30", "> 30")
COLUMNS = ("number", "due_on", "ticket__number")


@roles(FRONT_DESK, OWNER)
@require_GET
def owed(request: AtWork) -> HttpResponse:
    return _page(request)


def _page(request: AtWork, refused: Refused | None = None) -> HttpResponse:
    now = timezone.now()
    context = {"refused": refused, "heads": HEADS, **_owed(request.shop, now)}
    status = 422 if refused else 200
    return render(request, "books/owed.html", context, status=status)


def _owed(shop: Shop, now: datetime) -> dict[str, Any]:
    today = now.astimezone(shop.zone).date()
    found = queries.open_invoices(shop)
    rows = Invoice.objects.select_related("ticket").only(*COLUMNS)
    invoices = rows.in_bulk([one.pk for one in found])
    due = queries.dues(invoices.values(), shop, now)
    newest = queries.newest_reminders(invoices)

    def shown(one: Open) -> dict[str, Any]:
        return {
            "invoice": invoices[one.pk],
            "days_late": one.days_late(today),
            "owed": Money.from_minor(one.owed, shop.currency),
            "due": due[one.pk],
            "sent": newest.get(one.pk),
        }

    return {
        "sums": _sums(aged(found, today), shop),
        "groups": [
            (buyer, _sums(sums, shop), [shown(one) for one in ones])
            for buyer, sums, ones in by_buyer(found, today)
        ],
        "days": queries.days_of(shop, now),
        "last_bucket": BUCKETS[-1],
    }


def _sums(sums: Aged, shop: Shop) -> dict[str, Any]:
    return {
        "not_due": _money(sums.not_due, shop),
        "buckets": list(_moneys(sums.buckets, shop)),
        "total": _money(sums.total, shop),
    }


def _moneys(minors: Iterable[int], shop: Shop) -> Iterable[Money]:
    return (_money(minor, shop) for minor in minors)


def _money(minor: int, shop: Shop) -> Money:
    return Money.from_minor(minor, shop.currency)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_invoice
def remind(request: AtWork, invoice: Invoice) -> HttpResponse:
    """The next reminder, kept and sent; then its letter, to be printed or not."""
    try:
        reminder = services.reminder_send(invoice=invoice, by=request.user)
    except Refused as refused:
        return _page(request, refused)
    to = reminders.address_of(invoice)
    said = {"number": invoice.number, "to": to}
    messages.success(
        request,
        _("The reminder of invoice %(number)s goes to %(to)s.") % said
        if to
        else _("No e-mail address: print the letter of invoice %(number)s.") % said,
    )
    return redirect(f"{reverse('books:owed')}#{reminder.invoice.number}")


@roles(FRONT_DESK, OWNER)
@require_GET
@at_invoice
def reminder_pdf(request: AtWork, invoice: Invoice, level: int) -> HttpResponse:
    row = invoice.reminders.filter(level=level).first()
    if row is None:
        raise Http404(str(level))
    return paper(reminders.letter(row), f"reminder-{invoice.number}-{level}")


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def reminder_rules(request: AtWork) -> HttpResponse:
    days = queries.days_of(request.shop, timezone.now())
    start = dict(zip(("first", "second", "last"), days, strict=True))
    form = ReminderRuleForm(typed(request), initial=start)
    if form.is_bound and form.is_valid():
        try:
            services.reminder_rules_set(
                shop=request.shop, by=request.user, **form.cleaned_data
            )
        except Refused as refused:
            form.add_error(refused.field, str(refused))
        else:
            messages.success(request, _("Kept."))
            return redirect("books:owed")
    status = 422 if form.is_bound else 200
    rules = request.shop.reminder_rules.select_related("by").order_by("-id")
    context = {"form": form, "rules": rules[:20]}
    return render(request, "books/reminder_rules.html", context, status=status)
