"""What of the bench goes on an invoice."""

import pytest

from diagnostics import evidence
from diagnostics import services as bench
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.samples import board_of


@pytest.mark.django_db
def test_an_invoice_leaves_out_what_was_good_all_along(
    ticket: Ticket, ines: Person
) -> None:
    board = board_of(ticket, ines)

    def read(point_id: str, typed: str) -> None:
        bench.reading_take(
            board=board, ticket=ticket, by=ines, point_id=point_id, typed=typed
        )

    def read_all(main: str) -> None:
        read("k04/leads", "0.20")
        for rail in ("main", "mem.q", "cpu.core"):
            read(f"k03/{rail}", "0.01")
        read("k05/in.jack", "48.0k")
        read("k06/main", main)

    read_all("0.40")
    bench.intervention_do(
        board=board, ticket=ticket, by=ines, kind="replaced", part_id="p.cmain"
    )
    read_all("41.0k")
    told = {row["point"]: row for row in evidence.for_an_invoice(ticket)}
    assert set(told) == {"k06/main"}
    assert told["k06/main"]["before"]["verdict"] == "bad"
    assert told["k06/main"]["after"]["verdict"] == "good"
    assert "k05/in.jack" in {row["point"] for row in evidence.of_ticket(ticket)}
