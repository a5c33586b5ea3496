"""The widths of words, held against the house's own font files."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from shop.office.drawing.lettering import (
    BOLD,
    PLAIN,
    SIGNS,
    SIZE,
    fitted,
    width_of,
)

FONTS = Path(__file__).parents[4] / "static/fonts"


@pytest.mark.parametrize(("weight", "table"), [(400, PLAIN), (700, BOLD)])
def test_each_width_is_the_fonts(weight: int, table: tuple[int, ...]) -> None:
    """Digits are as wide as the wider of the plain and the tabular one."""
    font = TTFont(FONTS / f"atkinson-hyperlegible-latin-{weight}.woff2")
    names, advances = font.getBestCmap(), font["hmtx"]
    assert font["head"].unitsPerEm == 1000
    tabular = {f"{name}.tf" for name in names.values()} & set(font.getGlyphOrder())
    for sign, width in zip(SIGNS, table, strict=True):
        name = names[ord(sign)]
        own = advances[name][0]
        tab = f"{name}.tf" if f"{name}.tf" in tabular else name
        assert own <= width
        assert width <= max(own, advances[tab][0]) + 7, sign


def test_a_word_is_as_wide_as_its_signs() -> None:
    assert width_of("") == 0
    assert width_of("Apr") == pytest.approx((626 + 566 + 340) * SIZE / 1000)


def test_an_unknown_sign_is_taken_for_a_wide_one() -> None:
    assert width_of("漢") >= width_of("m")


@pytest.mark.parametrize("room", [0, 5, 20, 60, 100, 500])
def test_what_is_cut_fits(room: float) -> None:
    cut = fitted("Orrin 14, OR-14B-MB", room, bold=True)
    assert width_of(cut, bold=True) <= room
    assert (cut == "Orrin 14, OR-14B-MB") == (room == 500)
