"""The counter's pages: take one in, find who is at the counter."""

import uuid
from functools import partial
from typing import Any

from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from shop.intake import (
    accounts,
    drafts,
    numbers,
    outage_typing,
    paper_pages,
    promise_words,
    promising,
    queries,
    services,
)
from shop.intake.forms import (
    ON_SCREEN,
    IntakeForm,
    initial_of,
    initial_of_device,
)
from shop.intake.forms_kinds import FORMS, MachineForm, MachineFormSet, MachineRows
from shop.intake.forms_shown import both, done, seen_anew, typed
from shop.intake.models import (
    Answer,
    Customer,
    Device,
    DeviceKind,
    IntakeKind,
    Ticket,
)
from shop.intake.outage_models import PaperSlip
from shop.intake.passcode_models import PasscodeKind
from shop.intake.passcodes import passcode_keep
from shop.intake.signing import HEIGHT, WIDTH, signature_keep
from shop.money import Money
from shop.people import queries as people
from shop.people import texts as people_texts
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.people.models import TextKind
from shop.people.opening_hours import first_word_by
from shop.people.prices import as_paid
from shop.records.errors import Refused, StaleEdit
from shop.records.idempotency import once

LONGEST_PK = 18
MOST_DEVICES = 6
ANOTHER = "another"  # none of the devices that the customer brought before
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
    draft = _draft(request)
    known = chosen(request, draft)
    slip = outage_typing.slip_asked(request, draft)
    if slip is not None and not slip.is_left and request.method == "GET":
        return redirect(slip)
    form = intake_form(request, known, draft, slip)
    machines = machines_of(request, form, draft)
    taken: list[Ticket] = []
    context: dict[str, Any] = {}
    try:
        act = partial(_take_in, request, form, known, machines, slip)
        if done(form, lambda: taken.extend(act())):
            return redirect(_after(request, taken))
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        newest = queries.customer_get(request.shop, known.pk if known else 0)
        seen_anew(form, {"version": newest.version})
    context |= around(request, form, known, slip) | {"machines": machines}
    context["begun"] = [] if form.is_bound or draft or slip else _begun(request)
    status = 422 if form.is_bound else 200
    return render(request, "intake/ticket_new.html", context, status=status)


def _draft(request: AtWork) -> drafts.Fields:
    """What was typed before into the intake that the address names."""
    key = drafts.key_of(request.GET.get("draft", ""))
    row = drafts.draft_get(request.shop, request.user, request.station, key)
    return drafts.fields_of(row) if row and request.method == "GET" else {}


def _begun(request: AtWork) -> list[drafts.Waiting]:
    return drafts.waiting(request.shop, request.user, request.station)


def kind_of(request: AtWork) -> str:
    """How it comes in; the counter where the address says nothing we know."""
    asked = (request.POST or request.GET).get("intake", "")
    return asked if asked in FORMS else IntakeKind.COUNTER


def chosen(request: AtWork, draft: drafts.Fields | None = None) -> Customer | None:
    """The returning customer whom the page is about, if one was chosen."""
    asked = request.POST or request.GET
    pk = asked.get("customer", drafts.first(draft or {}, "customer"))
    if not pk:
        earlier = _earlier(request)
        return earlier.customer if earlier else None
    if not (pk.isascii() and pk.isdigit() and len(pk) < LONGEST_PK):
        raise Http404
    return queries.customer_get(request.shop, int(pk))


def _earlier(request: AtWork) -> Ticket | None:
    """The closed ticket that a warranty check is about, by its number."""
    typed = (request.POST or request.GET).get("returns_to", "")
    number = numbers.compact(typed)
    if kind_of(request) != IntakeKind.WARRANTY or not numbers.is_valid(number):
        return None
    return queries.ticket_numbered(request.shop, number)


def intake_form(
    request: AtWork,
    known: Customer | None,
    draft: drafts.Fields | None = None,
    slip: PaperSlip | None = None,
) -> IntakeForm:
    """The form of this kind of intake, filled with what is known by now."""
    initial: dict[str, Any] = {"name": request.GET.get("name", "")[:200]}
    earlier = _earlier(request)
    if known is not None:
        initial = initial_of(known)
        device = earlier.device if earlier else device_of(request, known)
        initial |= initial_of_device(device) if device else {}
    if earlier is not None:
        initial |= {"returns_to": earlier.number}
    if by := first_word_by(request.shop, timezone.now()):
        initial["promise"] = timezone.localtime(by)
    initial["draft"] = request.GET.get("draft") or str(uuid.uuid4())
    kind = FORMS[kind_of(request)]
    if draft:
        initial |= drafts.initial_of(draft, kind.base_fields)
    form = kind(
        typed(request),
        currency=request.shop.currency,
        languages=request.shop.language_codes,
        initial=initial,
    )
    if "ready_by" in form.fields:
        _suggest(request, form, is_typed=bool(draft))
    if slip is not None:
        outage_typing.fields_add(form, slip, request.user, draft or {})
    return form


def _suggest(request: AtWork, form: IntakeForm, *, is_typed: bool) -> None:
    """By when it may be ready: a day to begin with, and where it comes from."""
    field = form.fields.get("kind")
    kind = form.initial.get("kind", field.initial if field else DeviceKind.LAPTOP)
    found = promising.suggestion_at_intake(request.shop, timezone.now(), kind)
    if found is not None and not is_typed:
        form.initial["ready_by"] = timezone.localtime(found.by)
    form.fields["ready_by"].help_text = promise_words.suggested(found)


def device_of(request: AtWork, known: Customer) -> Device | None:
    """The one that was chosen among this customer's devices, else the newest."""
    pk = request.GET.get("device", "")
    if pk == ANOTHER:
        return None
    if pk.isascii() and pk.isdigit() and len(pk) < LONGEST_PK:
        return get_object_or_404(known.devices, pk=int(pk))
    return known.devices.last()


def machines_of(
    request: AtWork, form: IntakeForm, draft: drafts.Fields
) -> MachineRows | None:
    if form.intake_kind != IntakeKind.SEVERAL:
        return None
    rows = drafts.rows_of(draft, MachineForm.base_fields)
    return MachineFormSet(typed(request), prefix="machine", initial=rows)


@transaction.atomic
def _take_in(
    request: AtWork,
    form: IntakeForm,
    known: Customer | None,
    machines: MachineRows | None,
    slip: PaperSlip | None,
) -> list[Ticket]:
    taken = _taken_in(request, form, known, machines, slip)
    typed = form.cleaned_data
    if typed["signed"] == ON_SCREEN:
        signature_keep(ticket=taken[0], by=request.user, drawn=typed["signature"])
    drafts.draft_drop(
        shop=request.shop,
        person=request.user,
        station=request.station,
        key=drafts.key_of(typed["draft"]),
    )
    if form.cleaned_data.get("without_passcode") == Answer.YES:
        for ticket in taken:
            passcode_keep(ticket=ticket, by=request.user, kind=PasscodeKind.NONE)
    return taken


def _taken_in(
    request: AtWork,
    form: IntakeForm,
    known: Customer | None,
    machines: MachineRows | None,
    slip: PaperSlip | None,
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
        opening["on_paper"] = outage_typing.paper_of(form, slip) if slip else None
        return [services.ticket_take_in(what=form.what(), **everywhere, **opening)]
    if slip is not None:
        raise Refused(_("A blank slip is for one machine: choose another way in."))
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
    if len(taken) > 1 and then != "print":
        return reverse("intake:together", args=[number])
    if request.POST.get("without_passcode") == Answer.NO:
        page = reverse("intake:passcode", args=[number])
        return f"{page}?then=print" if then == "print" else page
    if then == "print":
        return paper_pages.printed_at_intake(taken[0], request.station, request.user)
    return taken[0].get_absolute_url()


def around(
    request: AtWork,
    form: IntakeForm,
    known: Customer | None,
    slip: PaperSlip | None = None,
) -> dict[str, Any]:
    """What the page shows besides the form; of a blank slip the fee in its print."""
    look = request.GET.get("look", "").strip()[:100]
    at = slip.pack.printed_at if slip else timezone.now()
    terms = people.terms_at(request.shop, at)
    rules = accounts.rules_at(known, timezone.now()) if known else None
    prices = accounts.prices_at(known, timezone.now()) if known else None
    terms = accounts.laid_over(terms, prices)
    fee = Money.from_minor(terms.diagnosis_fee_minor, request.shop.currency)
    return {
        "form": form,
        "account": rules,
        "kinds": [
            (kind, label, kind == form.intake_kind)
            for kind, label in KINDS
            if slip is None or kind != IntakeKind.SEVERAL
        ],
        "slip": slip,
        "intake_kind": form.intake_kind.value,
        "known": known,
        "devices": list(known.devices.order_by("-id")[:MOST_DEVICES]) if known else [],
        "pad": (WIDTH, HEIGHT),
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
