"""The job slip beside the form: what it would say of what is typed by now.

Drawn from the paper's own template. Nothing is kept, and a field that is not right
yet is left out.
"""

from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop.intake import counter, papers
from shop.intake.forms import IntakeForm
from shop.intake.forms_kinds import MachineRows
from shop.intake.models import (
    Answer,
    Channel,
    Customer,
    Device,
    DeviceKind,
    Goal,
    IntakeKind,
    Thing,
    ThingKind,
    Ticket,
)
from shop.intake.outage_typing import slip_asked
from shop.intake.services import ThingDraft
from shop.people import queries as people
from shop.people.access import AtWork
from shop.people.models import Shop

REST_OPEN = {IntakeKind.QUICK, IntakeKind.PARCEL}


def drawn(request: AtWork) -> str:
    """In the customer's language, by the shop's clock."""
    known = counter.chosen(request)
    form = counter.intake_form(request, known, {}, slip_asked(request, {}))
    machines = counter.machines_of(request, form, {})
    form.is_valid()
    ticket = _ticket(request.shop, form)
    with translation.override(ticket.customer.language):
        context = _context(ticket, form, machines)
        return render_to_string("intake/_live_slip.html", context)


def _context(
    ticket: Ticket, form: IntakeForm, machines: MachineRows | None
) -> dict[str, Any]:
    typed = form.cleaned_data
    said = papers.said(
        ticket,
        things=_things(form.things_typed()),
        told=typed.get("told", ""),
        as_it_came=typed.get("condition", ""),
        consents=form.consents(),
        is_rest_open=form.intake_kind in REST_OPEN,
    )
    return said | {
        "machines": _machines(machines) if machines is not None else [],
        "first_word": typed.get("promise"),
        "ready_by": typed.get("ready_by"),
        "language": ticket.customer.language,
    }


def _things(drafts: list[ThingDraft]) -> list[Thing]:
    return [Thing(kind=draft.kind, label=draft.label) for draft in drafts]


def _machines(rows: MachineRows) -> list[dict[str, Any]]:
    rows.is_valid()
    typed = [row.cleaned_data for row in rows if row.cleaned_data.get("model")]
    return [
        {
            "ticket": Ticket(device=Device(model=row["model"], serial=row["serial"])),
            "told": row.get("told", ""),
            "with_it": [ThingKind(kind).label for kind in row.get("things", ())],
        }
        for row in typed
    ]


def _ticket(shop: Shop, form: IntakeForm) -> Ticket:
    """As ``ticket_open`` would make it, without a number."""
    typed, now = form.cleaned_data, timezone.now()
    customer = Customer(
        shop=shop,
        name=typed.get("name", ""),
        channel=typed.get("channel") or Channel.PHONE,
        language=typed.get("language") or shop.language_codes[0],
    )
    device = Device(
        customer=customer,
        kind=typed.get("kind") or DeviceKind.LAPTOP,
        model=typed.get("model", ""),
        serial=typed.get("serial", ""),
    )
    terms = people.terms_at(shop, now)
    cap, price = typed.get("pre_approved"), typed.get("reassembly_price")
    return Ticket(
        shop=shop,
        customer=customer,
        device=device,
        intake_kind=form.intake_kind,
        goal=typed.get("goal") or Goal.MACHINE_WORKS,
        opened_at=now,
        triage=" ".join(typed.get("triage", ())),
        fee_agreed=typed.get("fee_agreed") or Answer.NOT_RECORDED,
        currency=shop.currency,
        diagnosis_fee_minor=terms.diagnosis_fee_minor,
        fee_rule=terms.fee_rule,
        their_reference=typed.get("their_reference", ""),
        pre_approved_minor=cap.minor if cap else None,
        reassembly=typed.get("reassembly") or Answer.NOT_RECORDED,
        reassembly_minor=price.minor if price is not None else None,
        **form.answers(),
    )
