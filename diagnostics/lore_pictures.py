"""A board model's pictures with their marks, to look at: the finder sets them."""

from typing import Any

from django.utils.text import capfirst

from diagnostics import finder_words
from diagnostics.engine.boards import Board
from diagnostics.finder import finding_of
from diagnostics.finder_drawing import drawing
from diagnostics.models import BoardModel, PictureSide


def of_model(model: BoardModel, board: Board) -> dict[str, Any]:
    """Each side that has a picture, and what the circuits came to in words."""
    finding = finding_of(model, board)
    sides = [
        {
            "picture": face.picture,
            "name": capfirst(str(PictureSide(side).label)),
            "drawn": drawing(finding, face, None),
        }
        for side, face in finding.faces.items()
    ]
    return {"sides": sides, "said": finder_words.opening(finding)[0] if sides else ""}
