"""Every page at its sizes: nothing for axe to find, nothing to scroll sideways."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page

from diagnostics.models import Board
from shop.intake.models import Ticket
from tests.browser.conftest import (
    DESKTOP,
    PHONE,
    TABLET,
    UPRIGHT,
    Visit,
    faults_of,
)

Picture = Callable[[Page, str], None]

pytestmark = pytest.mark.django_db(transaction=True)


def pages_of(person: str) -> dict[str, str]:
    done = Ticket.objects.filter(handover__isnull=False).latest("id")
    on_bench = Ticket.objects.get(device__serial="P15-4402-118C")
    board = Board.objects.get(ticket_boards__ticket=on_bench)
    bench = f"/bench/{on_bench.number}/{board.pk}/"
    return {
        "tomas": {
            "day-list": "/counter/",
            "intake": "/counter/new/",
            "ticket": f"/tickets/{done.number}/",
            "ticket-open": f"/tickets/{on_bench.number}/",
            "quote-new": f"/tickets/{on_bench.number}/quote/",
            "find": "/find/?q=nothing+like+it",
        },
        "ines": {
            "bench-list": "/bench/",
            "bench": f"{bench}?stage=standby",
            "bench-held": f"{bench}?check=k32",
            "board-join": f"/bench/{on_bench.number}/board/",
            "proof": f"/bench/{on_bench.number}/proof/",
        },
        "marit": {"office": "/office/"},
    }[person]  # type: ignore[return-value]


SIZES = {"desktop": DESKTOP, "tablet": TABLET, "upright": UPRIGHT, "phone": PHONE}


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_every_page_fits_and_is_accessible(
    visit: Visit, picture: Picture, size: str, dark: bool
) -> None:
    wrong = []
    for person in ("tomas", "ines", "marit"):
        page = visit(person, size=SIZES[size], dark=dark)
        complaints: list[str] = []
        page.on("console", lambda said, seen=complaints: seen.append(said.text))
        for name, url in pages_of(person).items():
            page.goto(url)
            picture(page, f"{name}-{size}-{'dark' if dark else 'light'}")
            wrong += [f"{name}: {fault}" for fault in faults_of(page)]
            wrong += [f"{name}: {width} wider" for width in overflow(page)]
        wrong += complaints
    assert not wrong, "\n".join(wrong)


def overflow(page: Page) -> list[int]:
    """By how many pixels a page is wider than its window."""
    width = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    return [width] if width > 0 else []
