"""What the ticket page shows of printing, rendered on the server."""

from dataclasses import dataclass
from typing import Any, Protocol

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from shop.printing.makers import MAKERS
from shop.printing.models import PrintJob


class Numbered(Protocol):
    """A ticket, as far as this room knows of it."""

    @property
    def pk(self) -> int: ...

    @property
    def number(self) -> str: ...


@dataclass(frozen=True)
class Named:
    """What a request says of a ticket."""

    pk: int
    number: str


def waiting_of(ticket_id: int) -> list[dict[str, Any]]:
    """The papers of a ticket that have not come out yet, each with its name."""
    jobs = PrintJob.objects.filter(
        ticket_id=ticket_id, printed_at=None, withdrawn_at=None
    )
    return [{"job": job, "name": MAKERS[job.what].name} for job in jobs]


def panel(ticket: Numbered, request: HttpRequest | None = None) -> SafeString:
    """Papers that wait for a printer, with the ways out; nothing when none does."""
    context = {"waiting": waiting_of(ticket.pk), "ticket": ticket}
    return render_to_string("printing/_waiting.html", context, request=request)
