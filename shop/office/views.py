"""The owner's first screen."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from shop.office.acting.page import asked_of, page_of
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles


@roles(OWNER)
@require_GET
def review(request: AtWork) -> HttpResponse:
    now = timezone.now()
    page = page_of(
        request.shop,
        now,
        asked=asked_of(request.GET),
        at_the_bench=TECHNICIAN in request.held_roles,
    )
    return render(request, "office/review.html", {"page": page, "now": now})
