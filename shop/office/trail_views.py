"""The trail: the owner's look at what was done in the shop."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from shop.office import trail
from shop.people.access import OWNER, AtWork, roles


@roles(OWNER)
@require_GET
def events(request: AtWork) -> HttpResponse:
    asked = {
        name: value for name, value in request.GET.dict().items() if name != "after"
    }
    form = trail.TrailForm(request.shop, asked)
    is_right = not asked or form.is_valid()
    given = form.cleaned_data if asked and is_right else {}
    found = trail.events_of(request.shop, given)
    rows, following = trail.page(found, request.GET.get("after", ""), request.shop)
    context = {
        "form": form,
        "rows": rows if is_right else [],
        "older": trail.query_of(given, following) if following and is_right else "",
        "is_first": "after" not in request.GET,
        "is_any": any(given.values()),
    }
    status = 200 if is_right else 422
    return render(request, "office/trail.html", context, status=status)
