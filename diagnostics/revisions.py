"""What board models change over their families."""

from typing import Any

from diagnostics.models import BoardModel, BoardModelRevision


def patches_of(board_model: BoardModel) -> dict[str, Any]:
    """What a board model changes in its family: the newest value of each key."""
    return patches_of_all({board_model.pk}).get(board_model.pk, {})


def patches_of_all(board_model_ids: set[int]) -> dict[int, dict[str, Any]]:
    found: dict[int, dict[str, Any]] = {}
    revisions = BoardModelRevision.objects.filter(board_model_id__in=board_model_ids)
    for revision in revisions.order_by("id"):
        found.setdefault(revision.board_model_id, {})[revision.key] = revision.new
    return {
        pk: {key: new for key, new in patches.items() if new is not None}
        for pk, patches in found.items()
    }
