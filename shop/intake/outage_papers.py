"""The outage pack on paper: blank slips with their tags, and how to go on without us.

Black on white, to be filled in by pen: no line that is written on is closer than
8 mm to the next (common practice for handwriting).
"""

from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop import pdf, qr
from shop.intake import chips, outage, scans
from shop.intake.forms import ANSWERS, CAME_WITH_IT, FEE_ANSWERS
from shop.intake.models import Answer, DeviceKind, Goal, Purpose, ThingKind, Triage
from shop.intake.outage_models import OutagePack, PaperSlip
from shop.intake.papers import CONDITION
from shop.intake.services.things_in import PRINTED_TAGS
from shop.money import Money
from shop.people import queries as people
from shop.people.opening_hours import week_said
from shop.people.prices import as_paid
from shop.people.texts import in_force

BENCH_SHEETS, BENCH_LINES = 4, 22
ROOMS = ("", "is-short", "is-shorter", "is-shortest")  # see paper-blank.css


def pack_pdf(pack: OutagePack) -> bytes:
    """The PDF of what is left of a pack: printed again, it leaves out what is used."""
    return pdf.render(pack_html(pack), stamp=pack.printed_at)


def pack_html(pack: OutagePack) -> str:
    """In the language of the shop's customers: they read it and sign."""
    with (
        translation.override(pack.shop.language_codes[0]),
        timezone.override(pack.shop.zone),
    ):
        context = _pack(pack)
        context["room"] = _room(context)
        return render_to_string("papers/outage_pack.html", context)


def _room(context: dict[str, Any]) -> str:
    """How many lines are left out until a slip with its tags is one page."""
    for room in ROOMS[:-1]:
        html = render_to_string("papers/outage_one.html", context | {"room": room})
        if pdf.count_pages(html) == 1:
            return room
    return ROOMS[-1]


def _pack(pack: OutagePack) -> dict[str, Any]:
    shop = pack.shop
    terms = people.terms_at(shop, pack.printed_at)
    fee = Money.from_minor(terms.diagnosis_fee_minor, shop.currency)
    slips = [_slip(one) for one in outage.pack_of(pack).left]
    half = (len(slips) + 1) // 2
    return {
        "shop": shop,
        "stamp": pack.printed_at,
        "pack": pack,
        "paper_size": shop.paper_size,
        "week": week_said(shop),
        "terms": terms,
        "fee": fee,
        "fee_with_tax": as_paid(
            fee, terms.tax_basis_points, is_shown=terms.prices_with_tax
        ),
        "texts": in_force(shop, pack.printed_at, shop.language_codes[0]),
        "slips": slips,
        "halves": [slips[:half], slips[half:]],
        "sheets": range(BENCH_SHEETS),
        "lines": range(BENCH_LINES),
        **_asked(),
    }


def _asked() -> dict[str, Any]:
    """What the intake asks, as boxes to tick."""
    said = [label for code, label in ANSWERS if code != Answer.NOT_RECORDED]
    return {
        "kinds": DeviceKind.labels,
        "questions": CONDITION.values(),
        "answers": said,
        "yes_no": [label for code, label in ANSWERS if code in {"yes", "no"}],
        "fee_yes": FEE_ANSWERS[0][1],
        "triage": Triage.labels,
        "marks": chips.MARKS.values(),
        "came_with": [ThingKind(kind).label for kind in CAME_WITH_IT],
        "goals": Goal.labels,
        "purposes": Purpose.labels,
    }


def _slip(slip: PaperSlip) -> dict[str, Any]:
    return {
        "number": slip.number,
        "code": qr.svg(scans.ticket_code(slip.number)),
        "tags": [
            {
                "tag": f"{slip.number}-{tag}",
                "what": ThingKind(kind).label,
                "code": qr.svg(scans.tag_code(slip.number, tag)),
            }
            for kind, tag in PRINTED_TAGS.items()
            if kind != ThingKind.BOARD
        ],
    }
