"""Estimate against actual, on the ticket, for those who quote and work."""

from dataclasses import dataclass
from decimal import Decimal

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from shop.billing import queries, work
from shop.billing.estimate.compare import Comparison, Trio, compare
from shop.billing.lines import line_of
from shop.billing.models import LabourKind
from shop.billing.rates import free
from shop.billing.rates import lines as added
from shop.billing.totals import Line
from shop.intake.models import Ticket
from shop.money import Money
from shop.people import queries as people
from shop.people.models import FixedJob, Person, Role

SHOWN_TO = {Role.TECHNICIAN, Role.OWNER}
NONE = "—"


@dataclass(frozen=True)
class Row:
    name: str
    quoted: str
    actual: str
    billed: str


def panel(ticket: Ticket, person: Person) -> SafeString:
    """Empty for the counter; the cost is the owner's to see."""
    _shop, roles = people.place_of(person)
    if not roles & SHOWN_TO:
        return mark_safe("")
    found = comparison_of(ticket)
    is_owner = Role.OWNER in roles
    context = {
        "ticket": ticket,
        "rows": _rows(found),
        "over": found.minutes_over,
        "cost": found.cost if is_owner else None,
        "left": _left(found) if is_owner else None,
        "free": free.free_because(ticket),
        "goodwill": free.goodwill_of(ticket),
    }
    return render_to_string("billing/_estimate.html", context)


def comparison_of(ticket: Ticket) -> Comparison:
    accepted = queries.quote_state(ticket).accepted
    quoted = added.lines_of(accepted) if accepted else None
    invoice = queries.standing_invoice(ticket)
    billed = [line_of(row) for row in invoice.lines.all()] if invoice else None
    logged = list(ticket.time_entries.values_list("kind", "minutes"))
    jobs = [line for line in quoted or () if added.is_fixed_job(line)]
    minutes = {
        pk: job.minutes for pk, job in FixedJob.objects.in_bulk(_job_ids(jobs)).items()
    }
    return compare(
        quoted=quoted,
        fixed_minutes=sum(
            minutes.get(pk, 0) * int(line.quantity)
            for pk, line in zip(_job_ids(jobs), jobs, strict=True)
        ),
        done=queries.work_lines(ticket),
        billed=billed,
        logged=logged,
        covered_minutes=ticket.diagnosis_minutes,
        cost=_cost(ticket, logged),
        currency=ticket.currency,
    )


def _job_ids(jobs: list[Line]) -> list[int]:
    return [int(line.code.rpartition(".")[2]) for line in jobs]


def _cost(ticket: Ticket, logged: list[tuple[str, int]]) -> Money | None:
    """Hours at what one costs the shop, and parts at what they cost."""
    rate = people.terms_at(ticket.shop, ticket.opened_at).cost_rate_minor
    if rate is None:
        return None
    hands_on = sum(n for kind, n in logged if kind != LabourKind.MACHINE)
    hours = Money.from_minor(rate, ticket.currency) * (Decimal(hands_on) / 60)
    parts = sum(use.cost_minor * use.quantity for use in work.standing_parts(ticket))
    return hours + Money.from_minor(parts, ticket.currency)


def _left(found: Comparison) -> Money | None:
    """What the bill leaves after the cost; of the work so far until there is one."""
    net = found.net.actual if found.net.billed is None else found.net.billed
    if found.cost is None or not isinstance(net, Money):
        return None
    return net - found.cost


def _rows(found: Comparison) -> list[Row]:
    return [
        _row(_("Minutes"), found.minutes),
        _row(_("Parts, net"), found.parts),
        _row(_("In all, net"), found.net),
    ]


def _row(name: str, trio: Trio) -> Row:
    said = [NONE if one is None else str(one) for one in _values(trio)]
    return Row(name, *said)


def _values(trio: Trio) -> tuple[int | Money | None, ...]:
    return trio.quoted, trio.actual, trio.billed
