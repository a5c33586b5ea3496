"""The contrast of every ink on every ground, from the tokens as they are shipped.

Source: WCAG 2.2, definitions of "relative luminance" and "contrast ratio", and
success criteria 1.4.3 (text 4.5:1), 1.4.6 (enhanced 7:1, ours at the bench) and
1.4.11 (edges of controls 3:1). The table of expected ratios is the look's own,
computed apart from this code.
"""

import re
from pathlib import Path

import pytest

TOKENS = Path(__file__).parent.parent / "static" / "css" / "tokens.css"
COLOUR = re.compile(r"--([\w-]+): #([0-9a-f]{6});")
GROUNDS = ("lit", "sheet", "wash", "mat")
INKS = ("ink", "copper", "teal", "oxblood", "olive", "slate")
Theme = dict[str, str]

# Against lit, sheet, wash and mat, rounded to a tenth.
LOOK = {
    "light": {
        "ink": (16.1, 13.9, 13.5, 10.7),
        "ink-soft": (9.8, 8.4, 8.2, 6.5),
        "line": (4.1, 3.5, 3.4, 2.7),
        "copper": (8.6, 7.4, 7.2, 5.7),
        "teal": (9.1, 7.8, 7.6, 6.1),
        "oxblood": (9.4, 8.1, 7.9, 6.2),
        "olive": (9.0, 7.7, 7.5, 6.0),
        "slate": (9.2, 7.9, 7.7, 6.1),
    },
    "dark": {
        "ink": (11.9, 14.0, 11.1, 15.5),
        "ink-soft": (8.2, 9.7, 7.6, 10.7),
        "line": (3.5, 4.1, 3.2, 4.5),
        "copper": (7.6, 8.9, 7.0, 9.9),
        "teal": (8.4, 9.9, 7.8, 10.9),
        "oxblood": (7.8, 9.1, 7.2, 10.1),
        "olive": (9.1, 10.7, 8.4, 11.8),
        "slate": (7.6, 8.9, 7.0, 9.8),
    },
}
RATIOS = [
    pytest.param(theme, ink, ground, expected, id=f"{theme}-{ink}-on-{ground}")
    for theme, inks in LOOK.items()
    for ink, row in inks.items()
    for ground, expected in zip(GROUNDS, row, strict=True)
]


def block(opening: str) -> Theme:
    """The colours between this opening and its closing brace."""
    css = TOKENS.read_text()
    start = css.index(opening) + len(opening)
    return dict(COLOUR.findall(css[start : css.index("}", start)]))


THEMES = {
    "light": block(":root {"),
    "dark": block(':root:not([data-theme="light"]) {'),
}


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, 0 (black) to 1 (white)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_is_21_to_1_and_a_colour_on_itself_1_to_1() -> None:
    assert contrast("000000", "ffffff") == pytest.approx(21)
    assert contrast("7a370a", "7a370a") == pytest.approx(1)


def test_the_grey_that_is_known_to_just_pass_on_white_passes() -> None:
    # Widely published: #767676 is the lightest grey with 4.5:1 on white (MEMORY).
    assert contrast("767676", "ffffff") > 4.5 > contrast("777777", "ffffff")


@pytest.mark.parametrize(("theme", "ink", "ground", "expected"), RATIOS)
def test_the_ratios_are_those_of_the_look(
    theme: str, ink: str, ground: str, expected: float
) -> None:
    tokens = THEMES[theme]
    assert contrast(tokens[ink], tokens[ground]) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", GROUNDS[:3])
def test_every_ink_reads_at_the_bench(theme: str, ground: str) -> None:
    tokens = THEMES[theme]
    for ink in (*INKS, "ink-soft"):
        # The look states 7.0; the tenth is its rounding.
        assert contrast(tokens[ink], tokens[ground]) >= 6.95, ink


@pytest.mark.parametrize("theme", THEMES)
def test_words_on_the_page_ground_and_on_the_main_button_read(theme: str) -> None:
    tokens = THEMES[theme]
    for ink in (*INKS, "ink-soft"):
        assert contrast(tokens[ink], tokens["mat"]) >= 4.5, ink
        assert contrast(tokens[ink], tokens["pool"]) >= 4.5, ink
    assert contrast(tokens["on-copper"], tokens["copper"]) >= 7
    assert contrast(tokens["lit"], tokens["ink"]) >= 7  # a chosen box


@pytest.mark.parametrize("theme", THEMES)
def test_edges_of_controls_are_seen_where_controls_stand(theme: str) -> None:
    tokens = THEMES[theme]
    for ground in GROUNDS[:3]:
        assert contrast(tokens["line"], tokens[ground]) >= 3, ground


def test_a_fixed_dark_theme_is_the_systems_dark_theme() -> None:
    assert block(':root[data-theme="dark"] {') == THEMES["dark"]
    assert THEMES["dark"].keys() == THEMES["light"].keys()
