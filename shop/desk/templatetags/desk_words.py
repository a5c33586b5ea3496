"""What the bench shows of other rooms: the desk alone knows them all."""

from typing import Any

from django import template
from django.utils import timezone
from django.utils.safestring import SafeString

from diagnostics.donors import Donor, Gone
from diagnostics.place import Place
from shop.billing import queries as money
from shop.billing.day_split import Gap
from shop.desk import (
    arrival,
    clock_page,
    day_rows,
    evening,
    evening_words,
    harvest,
)
from shop.desk.day import Row
from shop.desk.harvest import Shelved
from shop.intake.models import Ticket
from shop.people.models import Shop

register = template.Library()


@register.inclusion_tag("desk/_bench_agreed.html")
def bench_agreed(ticket: Ticket) -> dict[str, Any]:
    """Agreed, used and left, always in sight; the clock's minutes are estimated."""
    agreed, running = _agreed_now(ticket)
    is_closed = hasattr(ticket, "handover")
    return {
        "ticket": ticket,
        "agreed": agreed,
        "is_closed": is_closed,
        "running": running,
    }


def _agreed_now(ticket: Ticket) -> tuple[money.Agreed, int]:
    """With the minutes that clocks run; reckoned once for all that one page says."""
    kept = vars(ticket)
    if "agreed_now" not in kept:
        is_closed = hasattr(ticket, "handover")
        running = [] if is_closed else evening.estimate_of(ticket, timezone.now())
        lines = money.work_lines(ticket, running=running)
        minutes = sum(minutes for _kind, _person, minutes in running)
        kept["agreed_now"] = money.agreed(ticket, lines=lines), minutes
    found: tuple[money.Agreed, int] = kept["agreed_now"]
    return found


@register.inclusion_tag("desk/_clock.html", takes_context=True)
def bench_clock(context: template.Context, place: Place) -> dict[str, Any]:
    """Which ticket the person's clock runs on, beside the board that is shown."""
    request = context["request"]
    return {"request": request, "csrf_token": context.get("csrf_token")} | (
        clock_page.context(request.user, place, timezone.now())
    )


@register.simple_tag
def shelved_of(donor: Donor) -> Shelved:
    """What of a donor came to the shelf, asked once for all that its page says."""
    return harvest.shelved_of(donor)


@register.inclusion_tag("desk/_shelved.html")
def to_the_shelf(shelved: Shelved, gone: Gone) -> dict[str, Any]:
    """Where the part lies since it came to the shelf, else the way there."""
    taken = gone.taken_off
    lot = shelved.get(harvest.origin_of(taken)) if taken else None
    return {"taken": taken, "lot": lot}


@register.inclusion_tag("desk/_unconfirmed.html")
def unconfirmed_days(shop: Shop) -> dict[str, Any]:
    """Whose days nobody confirmed yet."""
    return {"days": evening.unconfirmed_days(shop, timezone.now())}


@register.filter
def minutes_words(minutes: int) -> str:
    return evening_words.duration(minutes)


@register.filter
def clock_span(gap: Gap) -> str:
    return evening_words.span(gap.start, gap.end)


@register.inclusion_tag("desk/_bench_line.html", takes_context=True)
def bench_line(context: template.Context, ticket: Ticket) -> dict[str, Any]:
    """What must be known before a reading; what is missing is asked by taps."""
    request = context["request"]
    return arrival.of(ticket) | {
        "request": request,
        "csrf_token": context.get("csrf_token"),
        "back": request.get_full_path(),
        "agreed": None if hasattr(ticket, "handover") else _agreed_now(ticket)[0],
    }


@register.simple_tag(takes_context=True)
def day_row(context: template.Context, row: Row) -> SafeString:
    return day_rows.drawn(row, context["request"].user, timezone.now())


@register.inclusion_tag("desk/_cover_line.html")
def cover_line(ticket: Ticket) -> dict[str, Any]:
    """Covered until when, for what, by whom: at the counter, before it is taken in."""
    return {"earlier": arrival.repair_of(ticket, timezone.now())}
