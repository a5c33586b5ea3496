"""The office's figures reckoned anew from every row, slowly, in plain Python.

Nothing of the office's own is used but its time: no query, no sum, no rule of it.
"""

import math
from collections import Counter, defaultdict
from datetime import timedelta
from decimal import Decimal
from typing import Any

from diagnostics.models import Advice, Finding, Intervention, Reading, TicketBoard
from shop.billing.account_models import BilledTicket
from shop.billing.models import (
    Invoice,
    InvoiceLine,
    PartUse,
    Payment,
    Quote,
    TimeEntry,
)
from shop.intake.models import Handover, Ticket
from shop.office.asked import Asked
from shop.people.models import Shop
from shop.records.models import Event

Z = 1.959963984540054


def interval(k: int, n: int) -> tuple[float, float]:
    """The roots of Wilson's equation (p - k/n)^2 = z^2 p (1 - p) / n, in per cent."""
    a, b, c = n + Z * Z, -(2 * k + Z * Z), k * k / n
    root = math.sqrt(max(0.0, b * b - 4 * a * c))
    low, high = (-b - root) / (2 * a), (-b + root) / (2 * a)
    return round(100 * max(0.0, low), 1), round(100 * min(1.0, high), 1)


def closed(shop: Shop, asked: Asked) -> list[Ticket]:
    return [
        one.ticket
        for one in Handover.objects.all()
        if one.ticket.shop_id == shop.pk
        and not one.is_undone
        and asked.since <= one.at < asked.until
    ]


def models_of(ticket: Ticket) -> set[int]:
    rows = TicketBoard.objects.filter(ticket=ticket)
    return {row.board.board_model_id for row in rows}


def outcome(ticket: Ticket) -> tuple[str, str]:
    own = getattr(ticket, "outcome", None)
    return (own.kind, own.no_fix_reason) if own else ("", "")


# --- money --------------------------------------------------------------------------


def flow(shop: Shop, asked: Asked) -> tuple[dict[Any, int], dict[Any, int]]:
    """Invoiced and paid, by currency and the month's year and number."""
    invoiced: dict[Any, int] = Counter()
    for paper in Invoice.objects.all():
        if asked.since <= paper.issued_at < asked.until:
            day = paper.issued_at.astimezone(shop.zone)
            invoiced[paper.currency, day.year, day.month] += paper.total_minor
    paid: dict[Any, int] = Counter()
    for payment in Payment.objects.all():
        if asked.since <= payment.at < asked.until:
            day = payment.at.astimezone(shop.zone)
            paid[payment.currency, day.year, day.month] += payment.amount_minor
    return invoiced, paid


def owing(shop: Shop) -> int:
    """What tickets owe that have an invoice, and invoices without a ticket.

    Negative balances owe nothing.
    """
    owed = sum(
        max(0, _left(one))
        for one in Invoice.objects.filter(ticket=None, corrects=None)
        if one.currency == shop.currency
    )
    for ticket in Ticket.objects.all():
        if ticket.currency == shop.currency and ticket.invoices.exists():
            billed = sum(one.total_minor for one in ticket.invoices.all())
            settled = sum(
                one.amount_minor - one.rounding_minor for one in ticket.payments.all()
            )
            owed += max(0, billed - settled)
    return owed


def _left(invoice: Invoice) -> int:
    """Of an account's month or a sale: its total and notes, less what was settled."""
    billed = invoice.total_minor + sum(
        note.total_minor for note in invoice.credit_notes.all()
    )
    settled = sum(
        one.amount_minor - one.rounding_minor for one in invoice.payments.all()
    )
    return billed - settled


def held(shop: Shop) -> dict[str, int]:
    """By ticket number: paid on open tickets without a standing invoice."""
    found = {}
    for ticket in Ticket.objects.all():
        if hasattr(ticket, "handover"):
            continue
        papers = [one for one in ticket.invoices.all() if one.kind == "invoice"]
        if any(
            not any(not note.is_partial for note in one.credit_notes.all())
            for one in papers
        ):
            continue
        paid = sum(
            one.amount_minor - one.rounding_minor for one in ticket.payments.all()
        )
        if paid > 0:
            found[ticket.number] = paid
    return found


def quotes(shop: Shop, asked: Asked) -> dict[str, list[int]]:
    """Totals of the accepted, the declined and the expired."""
    found: dict[str, list[int]] = {"yes": [], "no": [], "expired": []}
    versions: dict[tuple[int, int], list[Quote]] = defaultdict(list)
    for quote in Quote.objects.all():
        versions[quote.ticket_id, quote.version].append(quote)
    today = asked.now.astimezone(shop.zone).date()
    for (ticket, version), options in versions.items():
        answered = [one for one in options if hasattr(one, "answer")]
        if answered:
            answer = answered[0].answer
            if asked.since <= answer.at < asked.until:
                found["yes" if answer.is_yes else "no"].append(answer.total_minor)
            continue
        is_newest = version == max(v for t, v in versions if t == ticket)
        valid = options[0].valid_until
        begins = asked.since.astimezone(shop.zone).replace(tzinfo=None)
        ends = asked.until.astimezone(shop.zone).replace(tzinfo=None)
        over = begins.replace(
            year=valid.year,
            month=valid.month,
            day=valid.day,
            hour=0,
            minute=0,
            second=0,
        ).replace(microsecond=0) + timedelta(days=1)
        if is_newest and valid < today and begins <= over < ends:
            found["expired"].append(min(one.total_minor for one in options))
    return found


def cost_of(ticket: Ticket) -> tuple[int, Decimal, int]:
    """Parts, labour in minor units unrounded, and minutes of people."""
    uses = PartUse.objects.filter(ticket=ticket)
    parts = sum(one.cost_minor * one.quantity for one in uses)
    terms = [
        one
        for one in ticket.shop.terms.order_by("valid_from")
        if one.cost_rate_minor is not None
    ]
    labour, minutes = Decimal(0), 0
    for entry in TimeEntry.objects.filter(ticket=ticket):
        if entry.kind == "machine":
            continue
        before = [one for one in terms if one.valid_from <= entry.started_at]
        rate = (before or terms[:1])[-1].cost_rate_minor if terms else 0
        labour += Decimal(entry.minutes * (rate or 0)) / 60
        minutes += entry.minutes
    return parts, labour, minutes


def is_told(shop: Shop, ticket: Ticket) -> bool:
    is_monthly = BilledTicket.objects.filter(ticket=ticket).exists()
    return ticket.currency == shop.currency and not is_monthly


def margins(shop: Shop, asked: Asked) -> dict[int | None, dict[str, Any]]:
    """By board model: tickets, fixed, and the money of those that can be told."""
    found: dict[int | None, dict[str, Any]] = {}
    for ticket in closed(shop, asked):
        models = models_of(ticket)
        (model,) = models if len(models) == 1 else (None,)
        sums = found.setdefault(model, Counter())
        sums["closed"] += 1
        sums["fixed"] += outcome(ticket)[0] == "fixed"
        if is_told(shop, ticket):
            parts, labour, minutes = cost_of(ticket)
            sums["tickets"] += 1
            sums["net"] += sum(one.net_minor for one in ticket.invoices.all())
            sums["parts"] += parts
            sums["labour"] += labour
            sums["minutes"] += minutes
    return found


def losing(shop: Shop, asked: Asked) -> set[str]:
    """Numbers of the tickets that cost more than they brought."""
    found = set()
    for ticket in closed(shop, asked):
        parts, labour, _minutes = cost_of(ticket)
        net = sum(one.net_minor for one in ticket.invoices.all())
        if is_told(shop, ticket) and net - parts < labour:
            found.add(ticket.number)
    return found


def hours(shop: Shop, asked: Asked) -> tuple[dict[Any, int], dict[Any, float]]:
    """Minutes logged and billed, by person's name and kind."""
    logged: dict[Any, int] = Counter()
    billed: dict[Any, float] = defaultdict(float)
    for ticket in closed(shop, asked):
        if BilledTicket.objects.filter(ticket=ticket).exists():
            continue
        entries = [
            one
            for one in TimeEntry.objects.filter(ticket=ticket)
            if one.kind != "machine"
        ]
        for entry in entries:
            logged[entry.person.name, entry.kind] += entry.minutes
        for line in InvoiceLine.objects.filter(invoice__ticket=ticket):
            if not line.code.startswith("labour.") or line.net_minor == 0:
                continue
            kind = line.code.partition(".")[2]
            own = [one for one in entries if one.kind == kind]
            whole = sum(one.minutes for one in own)
            for entry in own:
                share = entry.minutes / whole if whole > 0 else 0
                minutes = line.quantity_thousandths / 1000 * share
                billed[entry.person.name, kind] += minutes
    return logged, billed


def lost(shop: Shop, asked: Asked) -> tuple[int, int, int]:
    """Minutes: all, on no fix, under warranty."""
    whole = no_fix = warranty = 0
    for ticket in closed(shop, asked):
        if BilledTicket.objects.filter(ticket=ticket).exists():
            continue
        for entry in TimeEntry.objects.filter(ticket=ticket):
            if entry.kind == "machine":
                continue
            whole += entry.minutes
            if entry.kind == "warranty":
                warranty += entry.minutes
            elif outcome(ticket)[0] == "no_fix":
                no_fix += entry.minutes
    return whole, no_fix, warranty


# --- quality ------------------------------------------------------------------------


def held_through(shop: Shop, asked: Asked) -> dict[str, int]:
    """Of tickets closed as fixed: run, back, young, young_back."""
    found: dict[str, int] = Counter()
    today = asked.now.astimezone(shop.zone).date()
    terms = list(shop.terms.order_by("valid_from"))
    now = [one for one in terms if one.valid_from <= asked.now][-1]
    for ticket in closed(shop, asked):
        if outcome(ticket)[0] != "fixed":
            continue
        ends = [
            one.warranty_until
            for one in ticket.invoices.all()
            if one.kind == "invoice" and one.warranty_until
        ]
        is_wet = ticket.liquid == "yes"
        days = now.liquid_warranty_days if is_wet else now.warranty_days
        after = ticket.handover.at + timedelta(days=days)
        until = max(ends) if ends else after.astimezone(shop.zone).date()
        has_run = until < today if ends else after < asked.now
        is_back = any(_counts(shop, one, until) for one in ticket.returns.all())
        found["run" if has_run else "young"] += 1
        found["back" if has_run else "young_back"] += is_back
    return found


def _counts(shop: Shop, check: Ticket, until: Any) -> bool:
    if check.intake_kind != "warranty":
        return False
    if hasattr(check, "handover") and check.handover.is_undone:
        return False
    said = Event.objects.filter(ticket_id=check.pk, kind="warranty_decided")
    words = [one.codes["is_covered"] for one in said.order_by("id")]
    is_refused = bool(words) and not words[-1]
    return check.opened_at.astimezone(shop.zone).date() <= until and not is_refused


def forecasts(shop: Shop, asked: Asked) -> list[dict[str, Any]]:
    """Share, whether right, and the points read before; of each proven finding."""
    found = []
    for finding in Finding.objects.filter(is_proven=True, cause="part"):
        if not asked.since <= finding.at < asked.until:
            continue
        repairs = [
            one
            for one in Intervention.objects.filter(board=finding.board)
            if one.epoch == finding.epoch and one.kind != "away"
        ]
        if not repairs:
            continue
        said = [
            one
            for one in Advice.objects.filter(board=finding.board).order_by("at", "id")
            if one.ticket_id == finding.ticket_id
            and one.at <= repairs[0].at
            and one.moment not in {"finding_confirmed", "ticket_closed"}
            and one.suspects
        ]
        if not said:
            continue
        suspects = said[-1].suspects
        part = suspects[0]["part"]
        points = {
            one.point_id
            for one in Reading.objects.filter(board=finding.board)
            if one.ticket_id == repairs[0].ticket_id
            and one.epoch < repairs[0].epoch
            and one.source == "ours"
        }
        share = sum(one["p"] for one in suspects if one["part"] == part)
        found.append(
            {
                "share": share,
                "right": part == finding.part_id,
                "points": points,
                "model": finding.board.board_model,
            }
        )
    return found
