"""The owner's page."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from shop.office import queries
from shop.people.access import OWNER, AtWork, roles


@roles(OWNER)
@require_GET
def review(request: AtWork) -> HttpResponse:
    now = timezone.now()
    context = {"review": queries.review(request.shop, now), "now": now}
    return render(request, "office/review.html", context)
