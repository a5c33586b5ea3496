"""One ticket told in plain text, with its papers written to the papers folder."""

from collections.abc import Callable, Iterator
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from diagnostics import papers as bench_papers
from diagnostics import queries as bench
from diagnostics import sayings, words
from diagnostics.bridge import Known
from shop.billing import papers as billing_papers
from shop.billing import queries as money
from shop.billing.models import Invoice
from shop.intake import papers as intake_papers
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.people.models import Person, Shop

MOST_SUSPECTS = 4


def of_one_ticket(shop: Shop, *, serial: str) -> str:
    """The account of the billed ticket of that machine; writes its PDFs."""
    invoice = Invoice.objects.filter(shop=shop, ticket__device__serial=serial).latest(
        "id"
    )
    ticket = invoice.ticket
    assert ticket is not None, "the query asks for invoices of tickets"
    with timezone.override(shop.zone):
        return "\n".join(_told(shop, ticket, invoice))


def _told(shop: Shop, ticket: Ticket, invoice: Invoice) -> Iterator[str]:
    yield f"\nTicket {ticket.number}: {ticket.customer}, {ticket.device}"
    story = tickets.story_of(ticket)
    yield f"  told    {story.told}"
    for board in bench.boards_of(ticket):
        known = bench.known_of(board)
        yield from _readings(known)
        yield from _suspects(known)
    yield f"\n  found   {story.found}"
    yield f"  done    {story.done}"
    yield f"  proved  {story.proved}"
    yield from _bill(invoice)
    yield "\nPapers"
    yield from (f"  {path}" for path in papers_write(ticket, invoice))
    yield from _people(shop)


def _readings(known: Known) -> Iterator[str]:
    yield f"\nReadings of board {known.row}, with their verdicts"
    for one in known.judged:
        title = sayings.point_title(known.board, one.point)
        value = sayings.reading_value(one.reading)
        word = words.verdict_name(one.verdict.word)
        yield f"  {one.point.id:18} {title[:34]:34} {value:>12}  {word}"


def _suspects(known: Known) -> Iterator[str]:
    """What the engine said when a suspect was first named."""
    advice = known.row.advice.order_by("id").first()
    if advice is None:
        return
    yield "\nSuspects when the technician named one, before anything was touched"
    for suspect in advice.suspects[:MOST_SUSPECTS]:
        name = sayings.suspect_title(known.board, suspect["part"], suspect["mode"])
        yield f"  {sayings.percent(suspect['p']):>10}  {name}"
    yield f"  {sayings.percent(advice.something_else):>10}  something else"


def _bill(invoice: Invoice) -> Iterator[str]:
    yield f"\nInvoice {invoice.number}, {invoice.currency}"
    for line in invoice.lines.all():
        yield f"  {line.text:40} {line.net!s:>10}"
    for tax in invoice.taxes.all():
        label = f"tax {tax.percent:f} % on {tax.taxable}"
        yield f"  {label:40} {tax.tax!s:>10}"
    yield f"  {'total':40} {invoice.total!s:>10}"
    yield f"  {'paid before':40} {invoice.prepaid!s:>10}"
    due = invoice.total - invoice.prepaid
    yield f"  {'due when issued':40} {due!s:>10}"
    if invoice.ticket is not None:
        left = money.balance(invoice.ticket).due
        yield f"  {'due now':40} {left!s:>10}"


def papers_write(ticket: Ticket, invoice: Invoice) -> list[Path]:
    """Write job slip, proof sheet and invoice where they are missing."""
    folder = Path(settings.PAPERS_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    papers: dict[str, Callable[[], bytes]] = {
        f"job-slip-{ticket.number}.pdf": lambda: intake_papers.job_slip(ticket),
        f"proof-sheet-{ticket.number}.pdf": lambda: bench_papers.proof_sheet(ticket),
        f"invoice-{invoice.number}.pdf": lambda: billing_papers.invoice_pdf(invoice),
    }
    for name, make in papers.items():
        if not (folder / name).exists():
            (folder / name).write_bytes(make())
    return [folder / name for name in papers]


def _people(shop: Shop) -> Iterator[str]:
    yield "\nWho can sign in (in the demo a password is the name with -bench)"
    people = Person.objects.filter(memberships__shop=shop).distinct()
    for person in people.prefetch_related("memberships"):
        roles = ", ".join(
            str(membership.get_role_display())
            for membership in person.memberships.all()
        )
        yield f"  {person.username:8} {person.username}-bench   {person}: {roles}"
