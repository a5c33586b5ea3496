"""The board of the benchmark of dead boards, as the engine sees it.

For benchmarking only: no shop is offered this family, and no row names its ids.
"""

from pathlib import Path

from diagnostics.engine.boards import Board, Patch, board_of, load_family_file

HEAD = Path(__file__).with_name("deadboards.toml")
INPUT_OF = {"laptop-barrel": "barrel", "laptop-usbc": "usb_c"}
"""The benchmark's names of its two families, and the input that each has."""


def benchmark_board(family: str) -> Board:
    """The board of one of the benchmark's families; ``KeyError`` for another."""
    patch = Patch("variants.input", INPUT_OF[family])
    return board_of(load_family_file(HEAD), [patch])


def point_id(check: str) -> str:
    """The one point of a check that the benchmark names PLACE.MODE.STATE.

    >>> point_id("main_rail.ohms.unpowered")
    'main_rail.ohms.unpowered/main_rail'
    """
    return f"{check}/{check.partition('.')[0]}"
