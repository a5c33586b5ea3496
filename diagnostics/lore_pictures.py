"""A board model's pictures with their marks, to look at: the finder sets them."""

from collections.abc import Mapping
from typing import Any

from django.utils.text import capfirst

from diagnostics import finder_words
from diagnostics.engine.boards import Board
from diagnostics.finder import Finding, GroupSeen, finding_of, rails_served
from diagnostics.finder_drawing import drawing
from diagnostics.models import BoardModel, PictureSide


def of_model(model: BoardModel, board: Board) -> dict[str, Any]:
    """Each side that has a picture, what the circuits came to in words, and where
    the confirmed ones are, by the rails that they serve."""
    finding = finding_of(model, board)
    sides = [
        {
            "picture": face.picture,
            "name": capfirst(str(PictureSide(side).label)),
            "drawn": drawing(finding, face, None),
        }
        for side, face in finding.faces.items()
    ]
    return {
        "sides": sides,
        "said": finder_words.opening(finding)[0] if sides else "",
        "places": places_of(finding),
    }


def places_of(finding: Finding) -> Mapping[str, str]:
    """By rail id, its inductors in words, with the letter on the picture."""
    return {
        rail: capfirst("; ".join(_place(finding, one) for one in groups))
        for rail, groups in rails_served(finding).items()
    }


def _place(finding: Finding, one: GroupSeen) -> str:
    return finder_words.inductors_of(one, finder_words.place(finding, one))
