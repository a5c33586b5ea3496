"""Bag tags and shelf labels: papers of the 62 mm roll, black on white.

A tag says what a person at a shelf must know, and nothing of the customer: no
name, no phone, no passcode.
"""

from collections.abc import Iterable
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop import pdf, qr
from shop.intake import scans
from shop.intake.models import (
    Answer,
    IntakeKind,
    Place,
    Thing,
    ThingKind,
    Ticket,
)
from shop.people import languages

ROLL_MM = 62
MAYBE = {Answer.YES, Answer.UNSURE}
ITSELF = {ThingKind.MACHINE, ThingKind.BOARD}


def flags_of(ticket: Ticket) -> list[str]:
    """What must be known before a hand takes it, as words for boxes."""
    kinds = {thing.kind for thing in ticket.things.all()}
    is_return = ticket.intake_kind == IntakeKind.WARRANTY or ticket.returns_to_id
    flags = {
        _("WET"): ticket.liquid in MAYBE,
        _("CELL"): ticket.hot_or_swollen in MAYBE or ThingKind.PACK in kinds,
        _("DATA FIRST"): ticket.is_data_first,
        _("WARRANTY"): bool(is_return),
    }
    return [word for word, is_so in flags.items() if is_so]


def bag_tags(ticket: Ticket, *, only: int | None = None) -> pdf.Roll:
    """The tags of all its things, or of the one; each page is one tag."""
    wanted = [t for t in ticket.things.all() if only in {None, t.tag}]
    return pdf.render_strips(
        [tag_html(ticket, thing) for thing in wanted],
        width_mm=ROLL_MM,
        stamp=ticket.opened_at,
    )


def tag_html(ticket: Ticket, thing: Thing) -> str:
    """In the shop's own language, whoever has it printed."""
    language = translation.override(languages.spoken(ticket.shop.language_codes[0]))
    with language, timezone.override(ticket.shop.zone):
        context = tag_of(ticket, thing) | {"flags": flags_of(ticket)}
        return render_to_string("papers/bag_tag.html", context)


def tag_of(ticket: Ticket, thing: Thing) -> dict[str, Any]:
    return {
        "stamp": ticket.opened_at,
        "ticket": ticket,
        "thing": thing,
        "tag": f"{ticket.number}-{thing.tag}",
        "device": ticket.device.model,
        "code": qr.svg(scans.tag_code(ticket.number, thing.tag)),
    }


def shelf_labels(places: Iterable[Place]) -> pdf.Roll:
    listed = list(places)
    return pdf.render_strips(
        [label_html(place) for place in listed],
        width_mm=ROLL_MM,
        stamp=max(place.made_at for place in listed),
    )


def label_html(place: Place) -> str:
    code = qr.svg(scans.place_code(place.pk))
    context = {"place": place, "code": code, "stamp": place.made_at}
    return render_to_string("papers/shelf_label.html", context)
