"""The owner's pages: a customer's data, erasing a customer, how long things stay."""

import tempfile
from typing import Any

from django.contrib import messages
from django.core import signing
from django.db import transaction
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.intake.models import Customer
from shop.intake.queries import customer_get
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.records.errors import Refused
from shop.records.idempotency import forget_key, once
from shop.rights import fixed, package
from shop.rights.due import due, finish
from shop.rights.erasing import customer_erase
from shop.rights.forms import PeriodsForm, ReadForm
from shop.rights.periods import CLASSES, days_of, periods_set
from shop.rights.review import Review, review

SALT = "coldrail.rights.erase"
MOST_COUNTED = 100
GOOD_FOR = 10 * 60  # seconds from the first step to the second


@roles(OWNER)
@require_GET
@fresh
def customer(request: AtWork, pk: int) -> HttpResponse:
    """What is kept of one customer, and the two things that they may ask for."""
    context = {"review": review(customer_get(request.shop, pk))}
    return render(request, "rights/customer.html", context)


@roles(OWNER)
@require_POST
@fresh
def data(request: AtWork, pk: int) -> HttpResponse | FileResponse:
    """The ZIP. Not ``once``: a kept answer would hold all of it."""
    row = customer_get(request.shop, pk)
    if "sure" not in request.POST:
        return render(
            request, "rights/customer.html", {"review": review(row)}, status=422
        )
    file = tempfile.TemporaryFile()  # noqa: SIM115  the answer closes it
    try:
        with transaction.atomic():
            package.package_write(customer=row, by=request.user, target=file)
    except BaseException:
        file.close()
        raise
    file.seek(0)
    answer = FileResponse(
        file,
        as_attachment=True,
        filename=package.file_name(row),
        content_type="application/zip",
    )
    answer["Cache-Control"] = "no-store"
    return answer


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
@once
def erase(request: AtWork, pk: int) -> HttpResponse:
    """First what goes and what stays, ticked as read; then once more, and it is done.

    The second step carries what was seen at the first: who came back meanwhile is not
    erased unseen.
    """
    row = customer_get(request.shop, pk)
    seen = review(row)
    form = ReadForm(request.POST if request.method == "POST" else None)
    context: dict[str, Any] = {"review": seen, "form": form}
    if request.method != "POST":
        return render(request, "rights/erase.html", context)
    if "word" in request.POST:
        return _second(request, row, seen, context)
    if seen.obstacle or not form.is_valid():
        return render(request, "rights/erase.html", context, status=422)
    forget_key(request)
    context["word"] = signing.dumps([row.pk, seen.version], salt=SALT)
    return render(request, "rights/erase_sure.html", context)


def _second(
    request: AtWork, row: Customer, seen: Review, context: dict[str, Any]
) -> HttpResponse:
    try:
        said = signing.loads(request.POST["word"], salt=SALT, max_age=GOOD_FOR)
        if said != [row.pk, seen.version]:
            raise Refused(_("Something changed meanwhile. Read it once more."))
        customer_erase(customer=row, by=request.user)
        transaction.on_commit(finish)
    except signing.BadSignature:
        context["refusal"] = _("That took too long. Read it once more.")
    except Refused as refused:
        context["refusal"] = str(refused)
    else:
        messages.success(request, _("Erased. Nobody is named here any more."))
        return redirect("rights:customer", pk=row.pk)
    context["form"] = ReadForm()
    return render(request, "rights/erase.html", context, status=422)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
@once
def periods(request: AtWork) -> HttpResponse:
    """How long things stay, class by class, and what is due tonight."""
    days = days_of(request.shop)
    form = PeriodsForm(request.POST if request.method == "POST" else None, initial=days)
    if form.is_bound and form.is_valid():
        periods_set(shop=request.shop, by=request.user, days=form.cleaned_data)
        messages.success(request, _("Kept."))
        return redirect("rights:periods")
    found = {one.what: len(one.rows) for one in due(request.shop, most=MOST_COUNTED)}
    context = {
        "form": form,
        "rows": [
            (kept, form[what], kept.days, found[what]) for what, kept in CLASSES.items()
        ],
        "most": MOST_COUNTED,
        "fixed": fixed.rows(request.shop),
        "said": request.shop.periods.select_related("by").order_by("-id")[:20],
    }
    status = 422 if form.is_bound else 200
    return render(request, "rights/periods.html", context, status=status)
