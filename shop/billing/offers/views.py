"""Pages of quotes: drafting, sending, the customer's answer. Traffic only."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Self

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
from shop.billing.models import Quote, QuoteAnswer
from shop.billing.offers import risks
from shop.billing.offers.forms import (
    LONGEST_RISK,
    AnswerForm,
    LineForm,
    LineFormSet,
    QuoteForm,
    initial_of,
)
from shop.billing.offers.ways import ways_of
from shop.billing.rates import lines as added
from shop.billing.totals import Line
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.pages import paper
from shop.intake.place import at_ticket
from shop.people import queries as people
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import TextKind
from shop.people.texts import in_force
from shop.records.errors import Refused
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
    typing = Typing.of(request, ticket, initial, start)
    form = typing.form
    if typing.is_valid() and done(form, lambda: sending(request, ticket, typing)):
        return redirect(ticket)
    context = {"ticket": ticket, "form": form, "rows": typing.rows, "start": start}
    status = 422 if form.is_bound else 200
    return render(request, "billing/quote_new.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@at_ticket
def quote_sums(request: AtWork, ticket: Ticket) -> HttpResponse:
    """What the quote as it is typed comes to; nothing is kept."""
    typing = Typing.of(request, ticket)
    context: dict[str, object] = {"ticket": ticket}
    if typing.is_valid():
        terms = people.terms_at(ticket.shop, timezone.now())
        try:
            context["ways"] = ways_of(ticket, terms, **typing.said(ticket))
        except Refused as refused:
            context["refused"] = str(refused)
    status = 200 if "ways" in context else 422
    return render(request, "billing/_quote_comes_to.html", context, status=status)


@dataclass(frozen=True)
class Typing:
    """A quote's form and its lines, as they are typed."""

    form: QuoteForm
    rows: "BaseFormSet[LineForm]"
    prices: work.Prices

    @classmethod
    def of(
        cls,
        request: AtWork,
        ticket: Ticket,
        initial: Mapping[str, object] | None = None,
        start: drafts.Start | None = None,
    ) -> Self:
        prices = work.Prices.of(ticket, timezone.now())
        form = QuoteForm(
            typed(request),
            currency=ticket.currency,
            charges=prices.charges,
            initial=initial,
        )
        is_first = start is not None and not form.is_bound
        drafted = initial_of(start.lines, start.letters) if start and is_first else None
        rows = LineFormSet(typed(request), initial=drafted, prefix="line")
        return cls(form, rows, prices)

    def is_valid(self) -> bool:
        return self.form.is_bound and self.form.is_valid() & self.rows.is_valid()

    def said(self, ticket: Ticket) -> dict[str, Any]:
        """The lines, options, cap and deposit that are meant."""
        said = self.form.cleaned_data
        by_letter = lettered(ticket, self.rows, self.prices.tax_percent)
        common = by_letter.pop("", [])
        if said.get("fixed_job") is not None:
            common.append(added.fixed_job_line(said["fixed_job"], self.prices))
        titles = self.form.titles()
        options = [
            services.Option(titles[letter], own)
            for letter, own in sorted(by_letter.items())
        ]
        if said.get("is_express"):
            common, options = with_express(common, options, self.prices)
        sums = {name: said[name] for name in ("cap", "deposit")}
        return {"lines": common, "options": options, **sums}


def sending(request: AtWork, ticket: Ticket, typing: Typing) -> Quote:
    said = typing.form.cleaned_data
    with translation.override(ticket.customer.language):
        risk = risks.sentence(said["risks"], said["risk"])
    return services.quote_send(
        ticket=ticket,
        by=request.user,
        risk=risk[:LONGEST_RISK],
        cause=said["cause"],
        valid_until=said["valid_until"],
        **typing.said(ticket),
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
