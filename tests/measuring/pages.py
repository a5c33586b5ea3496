"""Rows of pages, papers and verdicts, each beside its reference in the same run."""

from collections.abc import Callable, Iterator

from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import path, reverse

from diagnostics import bridge
from diagnostics.engine import meters, quantities, verdicts
from shop import pdf
from shop.billing import papers
from shop.billing import services as billing
from shop.billing.models import Invoice
from shop.desk import services as desk
from shop.intake import services as intake
from shop.urls import handler403
from shop.urls import urlpatterns as our_urls
from tests.measuring.bulk import FAMILY, BigShop
from tests.measuring.reference import bare_view
from tests.measuring.rows import Row, row

BARE = "measure/bare/"
MIDDLEWARE_QUERIES = 3


class Urls:
    """Our URLs and one bare view behind the same middleware."""

    def __init__(self, view: Callable[[HttpRequest], HttpResponse]) -> None:
        self.urlpatterns = [*our_urls, path(BARE, view)]
        self.handler403 = handler403


def all_rows(big: BigShop, rounds: int) -> Iterator[Row]:
    number = big.open_ticket.number
    yield page("ticket page", reverse("desk:ticket", args=[number]), big, rounds)
    yield page("day list", reverse("desk:day_list"), big, rounds)
    bench = reverse("diagnostics:board", args=[number, big.board.pk])
    yield page("bench page", bench, big, rounds)
    yield invoice(big, max(3, rounds // 5))
    yield parse_and_verdict(rounds * 20)


def page(name: str, url: str, big: BigShop, rounds: int) -> Row:
    """One page against a bare view of as many queries and bytes.

    The bare view stands behind the same middleware, whose queries (session,
    person, roles) it makes too; it adds the rest.
    """
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(big.person)
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(url)
    assert answer.status_code == 200, f"{url}: {answer.status_code}"
    bare = bare_view(len(seen) - MIDDLEWARE_QUERIES, len(answer.content), big.shop.pk)
    with override_settings(ROOT_URLCONF=Urls(bare)):
        return row(
            name,
            lambda: client.get(url),
            lambda: client.get(f"/{BARE}"),
            rounds,
            len(seen),
        )


def invoice(big: BigShop, rounds: int) -> Row:
    """The invoice's PDF through our papers, against WeasyPrint on the same HTML."""
    paper = _issued(big)
    html = papers.invoice_html(paper)
    return row(
        "invoice PDF",
        lambda: papers.invoice_pdf(paper),
        lambda: pdf.render(html, stamp=paper.issued_at),
        rounds,
    )


def _issued(big: BigShop) -> Invoice:
    found = Invoice.objects.filter(ticket=big.open_ticket).first()
    if found is not None:
        return found
    billing.time_record(
        ticket=big.open_ticket,
        by=big.person,
        person=big.person,
        kind="diagnosis",
        minutes=30,
        started_at=big.open_ticket.opened_at,
    )
    intake.outcome_record(ticket=big.open_ticket, by=big.person, kind="no_fault_found")
    return desk.invoice_issue(ticket=big.open_ticket, by=big.person)


def parse_and_verdict(rounds: int) -> Row:
    """One typed reading to its verdict, against the bare arithmetic of it."""
    yardstick = bridge.engine_board(FAMILY, {}).yardstick("k32/sb.33")

    def ours() -> verdicts.Verdict:
        typed = quantities.parse("3,28 V", "V")
        assert typed.value is not None
        error = meters.standard_uncertainty(
            meters.HANDHELD, "V", typed.value, typed.digit
        )
        seen = verdicts.Observed(
            outcome=typed.outcome, value=typed.value, u=error.u, mode="V"
        )
        return verdicts.judge(seen, yardstick)

    def reference() -> float:
        return verdicts.p_inside(float("3.28"), 0.0107, 3.135, 3.465)

    return row("parse and verdict", ours, reference, rounds)
