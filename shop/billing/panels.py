"""What the ticket page shows of money, rendered on the server."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

from shop.billing import queries
from shop.billing.accounts.groups import groups_of
from shop.billing.einvoice import words
from shop.billing.forms import PaymentForm, TimeForm
from shop.billing.lines import line_of
from shop.billing.loans.queries import free_devices, out_with
from shop.billing.models import Invoice
from shop.billing.receipts import receipts_of
from shop.billing.services.prepayments import PREPAYMENT
from shop.billing.totals import MINUTE, Line, totals
from shop.billing.wording import number_shown, quantity_text
from shop.intake import accounts
from shop.intake.models import Ticket
from shop.money import Money
from shop.people import queries as people
from shop.people.models import Person, Role
from shop.printing.services import printers_of

AT_THE_BENCH = {Role.TECHNICIAN, Role.OWNER}
AT_THE_COUNTER = {Role.FRONT_DESK, Role.OWNER}


@dataclass(frozen=True)
class Row:
    """A line of the money block: what, and how much."""

    text: str
    quantity: str
    net: Money


@dataclass(frozen=True)
class SmallForm:
    """A form in the panel; its page of its own shows it again with errors."""

    heading: str | Promise
    url: str
    form: forms.Form


def panel(
    ticket: Ticket, person: Person, request: HttpRequest | None = None
) -> SafeString:
    """The money block. With ``request`` it holds the small forms, else links."""
    _shop, roles = people.place_of(person)
    context = money_of(ticket) | {
        "may_work": bool(roles & AT_THE_BENCH),
        "may_take_money": bool(roles & AT_THE_COUNTER),
        "may_take_back": Role.OWNER in roles,
        "loans": out_with(ticket),
        "may_lend": bool(free_devices(ticket.shop)),
    }
    if request is not None:
        context |= _small_forms(ticket, context["balance"].due)
        context["station_prints"] = printers_of(getattr(request, "station", None))
    return render_to_string("billing/_panel.html", context, request=request)


def money_of(ticket: Ticket) -> dict[str, Any]:
    """The block's figures: the invoice's lines once issued, else the work's."""
    state = queries.quote_state(ticket)
    papers = list(ticket.invoices.prefetch_related("credit_notes", "lines"))
    standing = _standing(papers)
    work = queries.work_lines(ticket, state=state)
    monthly = queries.monthly_invoice(ticket)
    shown = _billed(ticket, standing, monthly) or work
    sums = totals(shown, ticket.currency)
    worked = totals(work, ticket.currency).total
    balance = queries.balance(ticket, lines=work)
    return {
        "ticket": ticket,
        "state": state,
        "is_expired": state.expired(timezone.localdate(timezone=ticket.shop.zone)),
        "rows": [_row(line) for line in shown],
        "taxes": [(number_shown(part.percent), part.tax) for part in sums.taxes],
        "total": sums.total,
        "agreed": queries.agreed(ticket, state=state, lines=work),
        "balance": balance,
        "papers": [(paper, words.said_of(paper.plain_because)) for paper in papers],
        "standing": standing,
        "open_papers": _open_papers(papers, standing),
        "not_billed": worked - _work_on(shown, ticket.currency)
        if standing or monthly
        else None,
        "account": None if standing else accounts.rules_of(ticket),
        "monthly": monthly,
        "orders": queries.orders_of(ticket),
        "kept": queries.kept_for(ticket),
        "receipts": receipts_of(ticket),
    }


def _work_on(lines: Sequence[Line], currency: str) -> Money:
    """What a paper bills of work, before the advances that it takes off."""
    work = [line for line in lines if line.code != PREPAYMENT]
    return totals(work, currency).total


def _standing(papers: list[Invoice]) -> Invoice | None:
    invoices = [paper for paper in papers if paper.kind == Invoice.Kind.INVOICE]
    return next((one for one in invoices if not _is_over(one)), None)


def _open_papers(papers: list[Invoice], standing: Invoice | None) -> list[Invoice]:
    """What a credit note may be issued over now."""
    if standing is not None:
        return [standing]
    advances = [one for one in papers if one.kind == Invoice.Kind.PREPAYMENT]
    return [one for one in advances if not _is_over(one)]


def _is_over(invoice: Invoice) -> bool:
    return not all(note.is_partial for note in invoice.credit_notes.all())


def _billed(
    ticket: Ticket, standing: Invoice | None, monthly: Invoice | None
) -> list[Line]:
    """The lines that an invoice has of this ticket; none while there is no invoice."""
    if standing is not None:
        return [line_of(row) for row in standing.lines.all()]
    groups = groups_of(monthly.device) if monthly else ()
    own = next((one for one in groups if one.ticket == ticket.number), None)
    if monthly is None or own is None:
        return []
    rows = monthly.lines.filter(position__range=(own.first, own.last))
    return [line_of(row) for row in rows]


def _row(line: Line) -> Row:
    is_plain = line.unit != MINUTE and line.quantity in {1, -1}
    return Row(line.text, "" if is_plain else quantity_text(line), line.net)


def _small_forms(ticket: Ticket, due: Money) -> dict[str, SmallForm]:
    def url(name: str) -> str:
        return reverse(f"billing:{name}", args=[ticket.number])

    due_now = {"amount": due} if due.amount > 0 else None
    return {
        "time_form": SmallForm(
            _("Record time"), url("time_record"), TimeForm(auto_id="time_%s")
        ),
        "payment_form": SmallForm(
            _("Take a payment"),
            url("payment_take"),
            PaymentForm(auto_id="pay_%s", currency=ticket.currency, initial=due_now),
        ),
    }
