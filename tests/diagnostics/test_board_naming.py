"""A new board model in a few taps: patches over its family, kept in the same act."""

from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import board_choices, queries, revisions
from diagnostics.models import BoardModel, BoardModelRevision
from shop.intake.models import Ticket


def name_it(client: Client, job: Ticket, **fields: object) -> int:
    url = reverse("diagnostics:board_join", args=[job.number])
    keyed = {"idempotency_key": str(uuid4()), "number": "PL-15", **fields}
    return client.post(url, keyed).status_code


def test_taps_become_patches_of_the_new_model(at_bench: Client, job: Ticket) -> None:
    taps = {"no_graphics": "on", "chipset_in_cpu": "on", "memory": "lpddr5"}
    assert name_it(at_bench, job, family="laptop_barrel", **taps) == 302
    model = BoardModel.objects.get()
    assert revisions.patches_of(model) == {
        "variants.graphics": "none",
        "variants.chipset": "in_cpu",
        "variants.memory": "lpddr5",
    }
    board = queries.engine_board(job.ticket_boards.get().board)
    assert not board.is_fitted("gfx.core")
    assert not board.is_fitted("cs.core")
    assert board.fitted_points("k16") == ()
    q2 = board.rail("mem.q2")
    assert (q2.low, q2.high) == (0.475, 0.525)  # LPDDR5 VDDQ 0.5 V, JESD209-5 (memory)


def test_what_the_family_has_by_itself_is_no_patch(
    at_bench: Client, job: Ticket
) -> None:
    assert name_it(at_bench, job, family="laptop_usbc", memory="ddr4") == 302
    assert not BoardModelRevision.objects.exists()


def test_a_known_model_is_left_as_it_is(at_bench: Client, job: Ticket) -> None:
    name_it(at_bench, job, family="laptop_barrel")
    name_it(at_bench, job, family="laptop_barrel", no_graphics="on", serial="2")
    assert BoardModel.objects.count() == 1
    assert not BoardModelRevision.objects.exists()


def test_a_new_number_without_a_family_says_what_to_do(
    at_bench: Client, job: Ticket
) -> None:
    assert name_it(at_bench, job) == 422
    assert name_it(at_bench, job, family="laptop_barrel", memory="ddr9") == 422
    assert not BoardModel.objects.exists()


@pytest.mark.parametrize(
    ("family", "asked", "kept"),
    [
        ("desktop_atx", {"no_graphics": True}, {}),
        (
            "desktop_atx",
            {"graphics_on_board": True},
            {"variants.graphics": "on_board"},
        ),
        ("laptop_barrel", {"graphics_on_board": True}, {}),
        ("toaster", {"no_graphics": True}, {}),
    ],
)
def test_each_family_takes_only_what_it_has_to_choose(
    family: str, asked: dict[str, bool], kept: dict[str, str]
) -> None:
    assert board_choices.patches_of(family, asked) == kept
