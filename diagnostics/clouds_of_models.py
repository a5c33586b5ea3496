"""The predictions of every board model that has none yet: for a job and a command."""

from collections.abc import Iterator
from time import perf_counter

from django.conf import settings

from diagnostics import bridge, clouds, revisions
from diagnostics.models import BoardModel
from shop.records import jobs


def make_missing() -> Iterator[tuple[BoardModel, float]]:
    """Make what no process has made or is making: each model, and the seconds.

    What no model reads any more is swept, once all have been looked at.
    """
    models = list(BoardModel.objects.order_by("id"))
    patches = revisions.patches_of_all({model.pk for model in models})
    keys = set()
    for model in models:
        if not jobs.may_go_on():
            return
        board = bridge.engine_board(model.family, patches.get(model.pk, {}))
        if board.family.circuit is None:
            continue
        keys.add(clouds.key_of(board))
        start = perf_counter()
        if clouds.make(board):
            yield model, perf_counter() - start
    clouds.sweep(keys)


def job() -> None:
    if settings.CLOUDS == clouds.ASIDE:
        for _made in make_missing():
            pass
