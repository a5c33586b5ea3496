"""The day list's page: drawn anew by itself when something happened."""

from datetime import datetime, timedelta

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from diagnostics.models import Reading
from shop.desk import day_filters, notices
from shop.desk.day import day_list as list_of_the_day
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.pages import act_button, paper
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Shop
from shop.records.idempotency import once
from shop.records.models import Event

# Told that it is ready: asked again after this, unless they named a day (jd).
ASK_AGAIN = timedelta(days=7)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def day_list(request: AtWork) -> HttpResponse:
    return _drawn(request, "desk/day_list.html", timezone.now())


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def day_live(request: AtWork) -> HttpResponse:
    """The list where it changed since the page was drawn (``seen``), else nothing."""
    now = timezone.now()
    if request.GET.get("seen") == version_of(request.shop, now):
        return HttpResponse(status=204)
    if not request.htmx:
        return redirect("desk:day_list")
    return _drawn(request, "desk/_day_live.html", now)


def _drawn(request: AtWork, template: str, now: datetime) -> HttpResponse:
    filters = day_filters.read(request.GET)
    # The version is read first: what happens meanwhile is drawn at the next look.
    context = {"version": version_of(request.shop, now), "now": now, "filters": filters}
    context["day"] = list_of_the_day(
        request.shop, now, filters=filters, person=request.user
    )
    context["may_ask"] = bool(request.held_roles & {FRONT_DESK, OWNER})
    return render(request, template, context)


def version_of(shop: Shop, now: datetime) -> str:
    """Changes with every event and reading, and by the hour: lateness grows by itself.

    Both are the newest row by its key: two look-ups, however much there is.
    """
    event = Event.objects.order_by("-id").values_list("id", flat=True).first()
    reading = Reading.objects.order_by("-id").values_list("id", flat=True).first()
    hour = int(now.timestamp()) // 3600
    return f"{event or 0}.{reading or 0}.{hour}"


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_ticket
def told_again(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Told that it is ready, by the way they like: one tap, and the next day to ask."""
    next_day = timezone.localdate(timezone=request.shop.zone) + ASK_AGAIN

    def act() -> object:
        return intake.customer_told(
            ticket=ticket,
            by=request.user,
            channel=ticket.customer.channel,
            next_contact=next_day,
        )

    answer = act_button(request, ticket, act)
    return redirect("desk:day_list") if answer.status_code == 302 else answer


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_ticket
def notice(request: AtWork, ticket: Ticket) -> HttpResponse:
    """The next notice that it waits to be collected, kept and shown to be printed."""
    answer = act_button(
        request, ticket, lambda: notices.notice_give(ticket=ticket, by=request.user)
    )
    if answer.status_code != 302:
        return answer
    return redirect(reverse("desk:notice_pdf", args=[ticket.number]))


@roles(FRONT_DESK, OWNER)
@require_GET
@at_ticket
def notice_pdf(request: AtWork, ticket: Ticket) -> HttpResponse:
    """The newest notice, as it was given."""
    given = notices.newest_of(ticket)
    if given is None:
        return redirect(ticket)
    return paper(notices.notice_paper(ticket, given), f"notice-{ticket.number}")
