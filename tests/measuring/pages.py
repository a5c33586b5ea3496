"""Rows of pages, papers and verdicts, each beside its reference in the same run."""

from collections.abc import Callable, Iterator
from uuid import uuid4

from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import path, reverse
from weasyprint import HTML

from shop import pdf
from shop.billing import papers
from shop.urls import handler403
from shop.urls import urlpatterns as our_urls
from tests.measuring import judging
from tests.measuring.bulk import BigShop
from tests.measuring.reference import bare_view
from tests.measuring.rows import Row, row

BARE = "measure/bare/"
POINT = "k11/sb.33"  # cold ohms of a standby rail: no gate stands before it
MIDDLEWARE_QUERIES = 3  # session, person, roles: the bare view's requests make them too
ARCHIVED = {"pdf_variant": "pdf/a-3a"}  # as shop.pdf asks for an invoice


class Urls:
    """Our URLs and one bare view behind the same middleware."""

    def __init__(self, view: Callable[[HttpRequest], HttpResponse]) -> None:
        self.urlpatterns = [*our_urls, path(BARE, view)]
        self.handler403 = handler403


def all_rows(big: BigShop, rounds: int) -> Iterator[Row]:
    number = big.on_the_bench.number
    yield page("ticket page, open", reverse("desk:ticket", args=[number]), big, rounds)
    whole = reverse("desk:ticket", args=[big.whole.number])
    yield page("ticket page, whole", whole, big, rounds)
    yield page("day list", reverse("desk:day_list"), big, rounds)
    bench = reverse("diagnostics:board", args=[number, big.board.pk])
    yield page("bench page", bench, big, rounds)
    yield reading_to_verdict(big, rounds)
    few = max(1, rounds // 5)
    yield invoice("invoice PDF", big, few, ARCHIVED)
    yield invoice("against untagged", big, few, {})
    yield judging.parse_and_verdict(rounds * 20)
    yield judging.many_judged(few, seed=big.board.pk)


def page(name: str, url: str, big: BigShop, rounds: int) -> Row:
    """One page against a bare view of as many queries and bytes."""
    client = Client(SERVER_NAME="127.0.0.1")  # a host that the profile lets in
    client.force_login(big.person)
    size, queries = counted(client, url)
    bare = bare_view(queries - MIDDLEWARE_QUERIES, size, big.shop.pk)
    with override_settings(ROOT_URLCONF=Urls(bare)):
        as_much = counted(client, f"/{BARE}")
        assert as_much == (size, queries), f"{name}: {as_much}, not {size, queries}"
        return row(
            name,
            lambda: client.get(url),
            lambda: client.get(f"/{BARE}"),
            rounds,
            queries,
        )


def reading_to_verdict(big: BigShop, rounds: int) -> Row:
    """A reading sent, until its verdict and the columns beside it are there, against
    a bare view of as many queries and bytes. Ours also writes.
    """
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(big.person)
    args = [big.on_the_bench.number, big.board.pk]

    def take() -> bytes:
        answer = client.post(
            reverse("diagnostics:reading_take", args=args),
            {"point_id": POINT, "typed": "1200", "idempotency_key": uuid4().hex},
            headers={"HX-Request": "true"},
        )
        assert answer.status_code == 200, answer.status_code
        return answer.content

    take()
    with CaptureQueriesContext(connection) as seen:
        size = len(take())
    bare = bare_view(len(seen) - MIDDLEWARE_QUERIES, size, big.shop.pk)
    with override_settings(ROOT_URLCONF=Urls(bare)):
        return row(
            "reading to verdict",
            take,
            lambda: client.get(f"/{BARE}"),
            rounds,
            len(seen),
        )


def counted(client: Client, url: str) -> tuple[int, int]:
    """Bytes and queries of a page that was asked for before."""
    client.get(url)
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(url)
    assert answer.status_code == 200, f"{url}: {answer.status_code}"
    return len(answer.content), len(seen)


def invoice(name: str, big: BigShop, rounds: int, variant: dict[str, str]) -> Row:
    """The invoice's PDF through our papers, against WeasyPrint on the same HTML."""
    html = papers.invoice_html(big.invoice)
    with CaptureQueriesContext(connection) as seen:
        assert papers.invoice_pdf(big.invoice).startswith(b"%PDF")

    def alone() -> object:
        document = HTML(string=html, base_url=pdf.BASE, url_fetcher=pdf._fetcher({}))
        return document.write_pdf(**variant)

    return row(name, lambda: papers.invoice_pdf(big.invoice), alone, rounds, len(seen))
