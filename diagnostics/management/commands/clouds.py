"""Make the predictions of every board model that has none yet."""

from time import perf_counter
from typing import Any

from django.core.management.base import BaseCommand

from diagnostics import bridge, clouds, revisions
from diagnostics.models import BoardModel


class Command(BaseCommand):
    help = "Make what every check should read, for each board model (seconds each)."

    def handle(self, *args: Any, **options: Any) -> None:
        models = list(BoardModel.objects.order_by("id"))
        patches = revisions.patches_of_all({model.pk for model in models})
        keys = set()
        for model in models:
            board = bridge.engine_board(model.family, patches.get(model.pk, {}))
            if board.family.circuit is None:
                continue
            keys.add(clouds.key_of(board))
            start = perf_counter()
            if clouds.make(board):
                self.stdout.write(f"{model.number}: {perf_counter() - start:.1f} s")
        clouds.sweep(keys)
