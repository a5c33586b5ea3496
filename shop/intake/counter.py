"""The counter's pages: take one in, find who is at the counter."""

from typing import Any

from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET, require_http_methods

from shop.intake import (
    numbers,
    paper_pages,
    promise_words,
    promising,
    queries,
    services,
)
from shop.intake.forms import (
    CustomerForm,
    IntakeForm,
    initial_of,
    initial_of_device,
)
from shop.intake.forms_kinds import FORMS, MachineFormSet, MachineRows
from shop.intake.forms_shown import both, done, seen_anew, typed
from shop.intake.models import Answer, Customer, DeviceKind, IntakeKind, Ticket
from shop.intake.passcode_models import PasscodeKind
from shop.intake.passcodes import passcode_keep
from shop.money import Money
from shop.people import queries as people
from shop.people import texts as people_texts
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.people.models import TextKind
from shop.people.opening_hours import first_word_by
from shop.people.prices import as_paid
from shop.records.errors import Refused, StaleEdit
from shop.records.idempotency import once

# In the order of the tabs.
KINDS = [
    (IntakeKind.COUNTER, _("At the counter")),
    (IntakeKind.QUICK, _("Quick")),
    (IntakeKind.BOARD_ONLY, _("Board only")),
    (IntakeKind.PARCEL, _("Parcel")),
    (IntakeKind.SEVERAL, _("Several machines")),
    (IntakeKind.WARRANTY, _("Warranty check")),
]


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def ticket_new(request: AtWork) -> HttpResponse:
    """Take one in: the whole intake on one page, by its kind."""
    known = _chosen(request)
    form = _intake_form(request, known)
    machines = _machines(request, form)
    taken: list[Ticket] = []
    context: dict[str, Any] = {}
    try:
        if done(form, lambda: taken.extend(_take_in(request, form, known, machines))):
            return redirect(_after(request, taken))
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        newest = queries.customer_get(request.shop, known.pk if known else 0)
        seen_anew(form, {"version": newest.version})
    context |= _around(request, form, known) | {"machines": machines}
    status = 422 if form.is_bound else 200
    return render(request, "intake/ticket_new.html", context, status=status)


def _kind(request: AtWork) -> str:
    """How it comes in; the counter where the address says nothing we know."""
    asked = (request.POST or request.GET).get("intake", "")
    return asked if asked in FORMS else IntakeKind.COUNTER


def _chosen(request: AtWork) -> Customer | None:
    """The returning customer whom the page is about, if one was chosen."""
    pk = (request.POST or request.GET).get("customer", "")
    if not pk:
        earlier = _earlier(request)
        return earlier.customer if earlier else None
    if not (pk.isascii() and pk.isdigit() and len(pk) < 18):
        raise Http404
    return queries.customer_get(request.shop, int(pk))


def _earlier(request: AtWork) -> Ticket | None:
    """The closed ticket that a warranty check is about, by its number."""
    typed = (request.POST or request.GET).get("returns_to", "")
    number = numbers.compact(typed)
    if _kind(request) != IntakeKind.WARRANTY or not numbers.is_valid(number):
        return None
    return queries.ticket_numbered(request.shop, number)


def _intake_form(request: AtWork, known: Customer | None) -> IntakeForm:
    initial: dict[str, Any] = {"name": request.GET.get("name", "")[:200]}
    earlier = _earlier(request)
    if known is not None:
        initial = initial_of(known)
        device = earlier.device if earlier else known.devices.last()
        initial |= initial_of_device(device) if device else {}
    if earlier is not None:
        initial |= {"returns_to": earlier.number}
    currency = request.shop.currency
    if by := first_word_by(request.shop, timezone.now()):
        initial["promise"] = timezone.localtime(by)
    kind = FORMS[_kind(request)]
    form = kind(typed(request), currency=currency, initial=initial)
    if "ready_by" in form.fields:
        _suggest(request, form)
    return form


def _suggest(request: AtWork, form: IntakeForm) -> None:
    """By when it may be ready: a day to begin with, and where it comes from."""
    field = form.fields.get("kind")
    kind = form.initial.get("kind", field.initial if field else DeviceKind.LAPTOP)
    found = promising.suggestion_at_intake(request.shop, timezone.now(), kind)
    if found is not None:
        form.initial["ready_by"] = timezone.localtime(found.by)
    form.fields["ready_by"].help_text = promise_words.suggested(found)


def _machines(request: AtWork, form: IntakeForm) -> MachineRows | None:
    if form.intake_kind != IntakeKind.SEVERAL:
        return None
    return MachineFormSet(typed(request), prefix="machine")


@transaction.atomic
def _take_in(
    request: AtWork,
    form: IntakeForm,
    known: Customer | None,
    machines: MachineRows | None,
) -> list[Ticket]:
    taken = _taken_in(request, form, known, machines)
    if form.cleaned_data.get("without_passcode") == Answer.YES:
        for ticket in taken:
            passcode_keep(ticket=ticket, by=request.user, kind=PasscodeKind.NONE)
    return taken


def _taken_in(
    request: AtWork,
    form: IntakeForm,
    known: Customer | None,
    machines: MachineRows | None,
) -> list[Ticket]:
    everywhere: dict[str, Any] = {
        "shop": request.shop,
        "by": request.user,
        "customer": known,
        "version": form.cleaned_data["version"] or 0,
        "who": form.who(),
    }
    if machines is None:
        opening = form.opening() | _returning(request, form)
        return [services.ticket_take_in(what=form.what(), **everywhere, **opening)]
    if not machines.is_valid():
        raise Refused(_("Look at the machines: a row needs its model and its fault."))
    opening = form.opening()
    for name in ("intake_kind", "brought", "things"):
        del opening[name]
    return services.tickets_take_in(
        machines=machines.machines(), **everywhere, **opening
    )


def _returning(request: AtWork, form: IntakeForm) -> dict[str, Any]:
    if form.intake_kind != IntakeKind.WARRANTY:
        return {}
    earlier = _earlier(request)
    if earlier is None:
        raise Refused(_("No ticket has this number."), field="returns_to")
    return {"returns_to": earlier}


def _after(request: AtWork, taken: list[Ticket]) -> str:
    """To the passcode first where one is needed: it is no part of this form."""
    then = request.POST.get("then")
    number = taken[0].number
    if len(taken) > 1:
        return reverse("intake:together", args=[number])
    if request.POST.get("without_passcode") == Answer.NO:
        page = reverse("intake:passcode", args=[number])
        return f"{page}?then=print" if then == "print" else page
    if then == "print":
        return paper_pages.printed_at_intake(taken[0], request.station, request.user)
    return taken[0].get_absolute_url()


def _around(
    request: AtWork, form: IntakeForm, known: Customer | None
) -> dict[str, Any]:
    look = request.GET.get("look", "").strip()[:100]
    terms = people.terms_at(request.shop, timezone.now())
    fee = Money.from_minor(terms.diagnosis_fee_minor, request.shop.currency)
    return {
        "form": form,
        "kinds": [(kind, label, kind == form.intake_kind) for kind, label in KINDS],
        "intake_kind": form.intake_kind.value,
        "known": known,
        "last_ticket": known.tickets.last() if known else None,
        "closed": queries.closed_of(known) if known else [],
        "look": look,
        "offers": queries.customers_like(request.shop, look, look) if look else [],
        "terms": terms,
        "fee": fee,
        "fee_with_tax": as_paid(
            fee, terms.tax_basis_points, is_shown=terms.prices_with_tax
        ),
        "consent_text": people_texts.in_force(
            request.shop, timezone.now(), request.shop.language_codes[0]
        ).get(TextKind.CONSENT, ""),
        "are_texts_read": people_texts.texts_are_read(request.shop),
    }


@roles(FRONT_DESK, OWNER)
@require_GET
def customer_offers(request: AtWork) -> HttpResponse:
    """For htmx: who it may be, or the sections filled with the one chosen.

    Without script the same is on the page itself, by its ``look`` field.
    """
    name, phone = request.GET.get("name", ""), request.GET.get("phone", "")
    if not request.htmx:
        asked = {"look": name or phone}
        if _kind(request) != IntakeKind.COUNTER:
            asked["intake"] = _kind(request)
        return redirect(f"{reverse('intake:ticket_new')}?{urlencode(asked)}")
    if known := _chosen(request):
        form = _intake_form(request, known)
        context = _around(request, form, known)
        context["is_device_empty"] = not request.GET.get("model", "").strip()
        return render(request, "intake/_chosen.html", context)
    offers = queries.customers_like(request.shop, name[:100], phone[:60])
    context = {"offers": offers, "intake_kind": _kind(request)}
    return render(request, "intake/_offers.html", context)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def customer(request: AtWork, pk: int) -> HttpResponse:
    """Name, phone and address of a customer, to put right."""
    row = queries.customer_get(request.shop, pk)
    form = CustomerForm(typed(request), initial=initial_of(row))
    context: dict[str, Any] = {"form": form, "customer": row}
    try:
        if done(form, lambda: _change(request, form, row)):
            return redirect("intake:customer", pk=row.pk)
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        seen_anew(form, {"version": row.version})
    context |= {"heading": _("Customer"), "tickets": queries.tickets_of(row)}
    status = 422 if form.is_bound else 200
    return render(request, "intake/customer.html", context, status=status)


def _change(request: AtWork, form: CustomerForm, row: Customer) -> Customer:
    fields = form.who()
    fields["phone_typed"] = fields.pop("phone")
    version = form.cleaned_data["version"] or 0
    return services.customer_change(
        customer=row, by=request.user, version=version, **fields
    )
