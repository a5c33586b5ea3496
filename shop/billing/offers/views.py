"""Pages of quotes: drafting, sending, the customer's answer. Traffic only."""

from decimal import Decimal

from django.forms import BaseFormSet
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.billing import drafts, papers, queries, services, work
from shop.billing.forms import (
    LONGEST_RISK,
    AnswerForm,
    LineForm,
    LineFormSet,
    QuoteForm,
    initial_of,
)
from shop.billing.models import Quote, QuoteAnswer
from shop.billing.offers import risks
from shop.billing.rates import lines as added
from shop.billing.totals import Line
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.pages import paper
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import TextKind
from shop.people.texts import in_force
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def quote_new(request: AtWork, ticket: Ticket) -> HttpResponse:
    now = timezone.now()
    start = drafts.start_of(ticket, now)
    texts = in_force(ticket.shop, now, ticket.customer.language)
    initial = {
        "risk": texts.get(TextKind.QUOTE_RISK, "")[: LONGEST_RISK // 2],
        "risks": [str(one) for one in start.risks],
        "cause": start.cause,
        **{f"option_{key.lower()}": title for key, title in start.titles.items()},
    }
    prices = work.Prices.of(ticket, now)
    form = QuoteForm(
        typed(request),
        currency=ticket.currency,
        charges=prices.charges,
        initial=initial,
    )
    drafted = None if form.is_bound else initial_of(start.lines, start.letters)
    rows = LineFormSet(typed(request), initial=drafted, prefix="line")
    is_valid = form.is_bound and form.is_valid() & rows.is_valid()
    if is_valid and done(form, lambda: sending(request, ticket, form, rows, prices)):
        return redirect(ticket)
    context = {"ticket": ticket, "form": form, "rows": rows, "expired": start.expired}
    status = 422 if form.is_bound else 200
    return render(request, "billing/quote_new.html", context, status=status)


def sending(
    request: AtWork,
    ticket: Ticket,
    form: QuoteForm,
    rows: "BaseFormSet[LineForm]",
    prices: work.Prices,
) -> Quote:
    said = form.cleaned_data
    by_letter = lettered(ticket, rows, prices.tax_percent)
    common = by_letter.pop("", [])
    if said.get("fixed_job") is not None:
        common.append(added.fixed_job_line(said["fixed_job"], prices))
    titles = form.titles()
    options = [
        services.Option(titles[letter], own)
        for letter, own in sorted(by_letter.items())
    ]
    if said.get("is_express"):
        common, options = with_express(common, options, prices)
    with translation.override(ticket.customer.language):
        risk = risks.sentence(said["risks"], said["risk"])
    return services.quote_send(
        ticket=ticket,
        by=request.user,
        lines=common,
        options=options,
        risk=risk[:LONGEST_RISK],
        **{name: said[name] for name in ("cause", "cap", "deposit", "valid_until")},
    )


def lettered(
    ticket: Ticket, rows: "BaseFormSet[LineForm]", tax_percent: Decimal
) -> dict[str, list[Line]]:
    """The typed lines by their option; those of none are in all."""
    found: dict[str, list[Line]] = {}
    for row in rows:
        if row.has_changed() and row not in rows.deleted_forms:
            line = row.line(ticket.currency, tax_percent)
            found.setdefault(row.cleaned_data["option"], []).append(line)
    return found


def with_express(
    common: list[Line], options: list[services.Option], prices: work.Prices
) -> tuple[list[Line], list[services.Option]]:
    """The surcharge on each option's labour, or on that of the one quote."""
    percent = prices.charges.express_percent

    def express(lines: list[Line]) -> list[Line]:
        if any(line.code == work.EXPRESS for line in lines):
            return []
        return added.express_lines(lines, percent, prices)

    if not options:
        return [*common, *express(common)], options
    return common, [
        services.Option(one.title, [*one.lines, *express([*common, *one.lines])])
        for one in options
    ]


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def quote(request: AtWork, ticket: Ticket, version: int) -> HttpResponse:
    sent = queries.quote_get(ticket, version)
    named = {"answered_by": ticket.customer.name}
    form = AnswerForm(initial=named, options=options_of(sent))
    return quote_page(request, ticket, sent, form)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@at_ticket
@once
def quote_answer(request: AtWork, ticket: Ticket, version: int) -> HttpResponse:
    sent = queries.quote_get(ticket, version)
    form = AnswerForm(request.POST, options=options_of(sent))
    is_valid = form.is_valid()
    if is_valid and done(form, lambda: answering(request, sent, form)):
        return redirect(ticket)
    return quote_page(request, ticket, queries.quote_get(ticket, version), form)


def answering(request: AtWork, sent: Quote, form: AnswerForm) -> QuoteAnswer:
    said = form.cleaned_data
    if form.option:
        sent = queries.quote_get(sent.ticket, sent.version, form.option)
    return services.quote_answer(
        quote=sent,
        is_yes=said["is_yes"] != "no",
        answered_by=said["answered_by"],
        channel=said["channel"],
        decline_reason=said["decline_reason"],
        recorded_by=request.user,
    )


def options_of(sent: Quote) -> list[Quote]:
    """All rows of the version that it is of."""
    return list(sent.ticket.quotes.filter(version=sent.version).order_by("option"))


def quote_page(
    request: AtWork, ticket: Ticket, sent: Quote, form: AnswerForm
) -> HttpResponse:
    today = timezone.localdate(timezone=ticket.shop.zone)
    state = queries.quote_state(ticket)
    context = {
        "ticket": ticket,
        "quote": sent,
        "options": options_of(sent),
        "answer": getattr(sent, "answer", None),
        "is_newest": sent in state.options,
        "is_over": state.expired(today) is not None and sent in state.open,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "billing/quote.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def quote_pdf(request: AtWork, ticket: Ticket, version: int) -> HttpResponse:
    sent = queries.quote_get(ticket, version)
    return paper(papers.quote_pdf(sent), f"quote-{ticket.number}-{sent.version}")
