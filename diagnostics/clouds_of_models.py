"""The predictions of every board model that has none yet: for a job and a command."""

from collections.abc import Iterator
from time import perf_counter

from django.conf import settings

from diagnostics import bridge, clouds, revisions
from diagnostics.engine.boards import Board
from diagnostics.models import BoardModel


def make_missing() -> Iterator[tuple[BoardModel, float]]:
    """Make what no process has made or is making: each model, and the seconds.

    What no model reads any more is swept, once all have been looked at.
    """
    keys = set()
    for model, board in boards():
        keys.add(clouds.key_of(board))
        start = perf_counter()
        if clouds.make(board):
            yield model, perf_counter() - start
    clouds.sweep(keys)


def boards() -> Iterator[tuple[BoardModel, Board]]:
    """Each model whose family has a circuit, as the engine sees it."""
    models = list(BoardModel.objects.order_by("id"))
    patches = revisions.patches_of_all({model.pk for model in models})
    for model in models:
        board = bridge.engine_board(model.family, patches.get(model.pk, {}))
        if board.family.circuit is not None:
            yield model, board


def job() -> None:
    """Have them made by a process of their own: messages don't wait for it."""
    if settings.CLOUDS == clouds.ASIDE and any(
        not clouds.path_of(clouds.key_of(board)).exists() for _model, board in boards()
    ):
        clouds.start_aside()
