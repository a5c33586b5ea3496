"""The proof sheet: what was wrong, what was done, how it was proved."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from diagnostics import (
    evidence,
    ladders,
    proof_closing,
    proof_photos,
    proof_rows,
    queries,
    sayings,
)
from diagnostics.bridge import Known
from diagnostics.evidence import Row
from diagnostics.models import InterventionKind, Reading
from diagnostics.proof import Stand
from diagnostics.proof_state import state_of
from shop import pdf
from shop.intake import queries as intake
from shop.intake.models import Ticket
from shop.intake.paper_language import language_of
from shop.records.kinds import Kind
from shop.shown import date_format


def proof_sheet(ticket: Ticket) -> bytes:
    """The proof sheet as PDF; the same bytes as long as nothing is added."""
    photos = {
        proof_photos.url_of(one): proof_photos.for_paper(one)
        for one in proof_photos.chosen(ticket)
    }
    html = proof_sheet_html(ticket)
    return pdf.render(html, stamp=stamp_of(ticket), photos=photos)


def proof_sheet_html(ticket: Ticket) -> str:
    language = language_of(ticket, Kind.OUTCOME_RECORDED)
    with translation.override(language), timezone.override(ticket.shop.zone):
        return render_to_string("papers/proof_sheet.html", context_of(ticket))


def context_of(ticket: Ticket) -> dict[str, Any]:
    stamp = stamp_of(ticket)  # what is learned of the model later changes no sheet
    boards = [queries.known_of(board, at=stamp) for board in queries.boards_of(ticket)]
    return {
        "ticket": ticket,
        "shop": ticket.shop,
        "story": intake.story_of(ticket),
        "boards": [of_board(known, ticket) for known in boards],
        **proof_of(ticket),
        "stamp": stamp,
        "paper_size": ticket.shop.paper_size,
    }


def proof_of(ticket: Ticket) -> dict[str, Any]:
    """The items of the proof as they stand, how far it is, and how it ended."""
    state = state_of(ticket)
    return {
        "items": [row for row in proof_rows.rows_of(state) if row.stand != Stand()],
        "level": proof_rows.level_said(state),
        "ended": proof_closing.ended(ticket),
        "measured": proof_closing.measured(ticket),
        "photos": [
            {"url": proof_photos.url_of(one), "shows": one.get_side_display()}
            for one in proof_photos.chosen(ticket)
        ],
    }


def of_board(known: Known, ticket: Ticket) -> dict[str, Any]:
    rows = evidence.of_board(known, ticket)
    return {
        "came_on": day([row["before"] for row in rows], min),
        "proved_on": day([row["after"] for row in rows], max),
        "row": known.row,
        "twin": ladders.twin(known, ticket),
        "rows": rows,
        "findings": [
            sayings.finding(known.board, one)
            for one in known.row.findings.filter(ticket=ticket).order_by("id")
        ],
        "interventions": [
            sayings.intervention(known.board, one)
            for one in known.interventions
            if one.ticket_id == ticket.pk and one.kind != InterventionKind.AWAY
        ],
        "meters": meters(known, ticket),
    }


def meters(known: Known, ticket: Ticket) -> list[str]:
    """The meters that the ticket's readings rest on; one past calibration says so."""
    return sorted(
        {
            measured_with(one)
            for one in known.readings
            if one.ticket_id == ticket.pk and one.value is not None
        }
    )


def measured_with(reading: Reading) -> str:
    """The meter by name, with the end of its calibration where it has one."""
    name = sayings.meter_name(reading.meter)
    missed = sayings.calibration_missed(reading)
    due = reading.meter.calibration_due if reading.meter else None
    if missed:
        return f"{name} ({missed})"
    if due is None:
        return name
    return _("%(meter)s (calibrated until %(day)s)") % {
        "meter": name,
        "day": date_format(due, "j F Y"),
    }


def day(sides: list[Row | None], pick: Callable[[list[str]], str]) -> str:
    """The day of one side's readings, as papers write a day."""
    moments = [side["at"] for side in sides if side]
    if not moments:
        return ""
    moment = timezone.localtime(datetime.fromisoformat(pick(moments)))
    return date_format(moment, "j F")


def stamp_of(ticket: Ticket) -> datetime:
    """The sheet's own date: that of the newest thing on it."""
    moments = [
        *ticket.readings.order_by("-taken_at").values_list("taken_at", flat=True)[:1],
        *(
            moment
            for rows in (
                ticket.interventions,
                ticket.findings,
                ticket.proof_items,
                ticket.proof_levels,
                ticket.proof_photos,
            )
            for moment in rows.order_by("-at").values_list("at", flat=True)[:1]
        ),
    ]
    if hasattr(ticket, "outcome"):
        moments.append(ticket.outcome.at)
    return max(moments, default=ticket.opened_at)
