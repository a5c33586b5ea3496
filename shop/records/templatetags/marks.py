"""The marks: rungs, verdicts, turns, held off, flag, as inline SVG.

A mark is hidden from screen readers: the caller always writes its word beside
it. ``paper=True`` gives explicit colours, because WeasyPrint applies no page
style inside inline SVG.
"""

import re

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

ELEMENT = re.compile(r"<[^>]+/>")
COLOUR = re.compile(r' (fill|stroke)="\{(\w+)\}"')

PAPER = {
    "ink": "#13202c",
    "teal": "#00504b",
    "oxblood": "#8a1028",
    "olive": "#544700",
    "slate": "#3a4854",
    "copper": "#7a370a",
    "line": "#737d83",
    "lit": "#ffffff",
}

# Drawn on a field of 36 by 20; the stiles stand at 2 and 34.
STILES = '<path d="M2 1V19M34 1V19" stroke="{ink}" stroke-width="2.5" fill="none"/>'
RUNGS = {
    "up": '<path d="M2 10H34" stroke="{teal}" stroke-width="4"/>',
    "down": (
        '<path d="M2 10H10L14 15M34 10H26L22 15" stroke="{oxblood}" '
        'stroke-width="4" fill="none"/>'
    ),
    "odd": (
        '<path d="M2 10H9L14 5L22 15L27 10H34" stroke="{olive}" '
        'stroke-width="3.5" fill="none"/>'
    ),
    "unread": (
        '<path d="M2 10H34" stroke="{slate}" stroke-width="2.4" '
        'stroke-dasharray="2 4" fill="none"/>'
    ),
    "in_hand": (
        '<path d="M2 10H34" stroke="{copper}" stroke-width="2.4" '
        'stroke-dasharray="2 4"/><path d="M18 10h0.01" '
        'stroke="{copper}" stroke-width="10" stroke-linecap="round"/>'
    ),
    "not_fitted": '<path d="M2 10H8M34 10H28" stroke="{line}" stroke-width="2.4"/>',
    "resting": '<path d="M2 10H34" stroke="{slate}" stroke-width="1.5"/>',
}

# Drawn on a field of 40 by 20 with the two posts of the band.
POSTS = (
    '<path d="M8 2H4V18H8M18 2H22V18H18" stroke="{ink}" stroke-width="2.5" '
    'fill="none"/>'
)
VERDICTS = {
    "good": POSTS + '<circle cx="13" cy="10" r="5" fill="{teal}"/>',
    "watch": POSTS + '<path d="M22 3L29 10L22 17L15 10Z" fill="{olive}"/>',
    "bad": (
        POSTS + '<path d="M28 5L38 15M38 5L28 15" stroke="{oxblood}" stroke-width="4"/>'
    ),
    "unclear": (
        POSTS + '<path d="M12 10H38" stroke="{slate}" stroke-width="7" '
        'stroke-dasharray="3 2.5"/>'
    ),
}
HELD_OFF = STILES + '<path d="M0 10H36" stroke="{oxblood}" stroke-width="5"/>'

# What a reading says of the first suspect, on a field of 12 by 12.
SPEAKS = {
    "for": '<path d="M1 6H11M6 1V11" stroke="{ink}" stroke-width="2.4"/>',
    "against": '<path d="M1 6H11" stroke="{ink}" stroke-width="2.4"/>',
}

# Drawn on a field of 24 by 16.
HATCH = "M1 6L6 1M1 11L11 1M1 15L16 1M5 15L20 1M10 15L23 2M15 15L23 7M20 15L23 12"
DOTS = "".join(
    f'<circle cx="{x}" cy="{y}" r="1.1" fill="{{slate}}"/>'
    for y in (4, 8, 12)
    for x in range(4, 22, 4)
)
TURNS = {
    "ours": '<path d="M1 1H23V15H1Z" fill="{ink}"/>',
    "customer": (
        '<path d="M1 1H23V15H1Z" fill="{lit}" stroke="{ink}" stroke-width="1.5"/>'
        f'<path d="{HATCH}" stroke="{{copper}}" stroke-width="1.8"/>'
    ),
    "supplier": (
        '<path d="M1 1H23V15H1Z" fill="{lit}" stroke="{ink}" stroke-width="1.5"/>'
        + DOTS
    ),
    "handover": (
        '<path d="M1 1H23V15H1Z" fill="{lit}" stroke="{ink}" stroke-width="1.5"/>'
        '<path d="M3 12.5H21" stroke="{teal}" stroke-width="3"/>'
    ),
    "nobody": '<path d="M1 8H23" stroke="{ink}" stroke-width="1.5"/>',
}
FLAG = (
    '<path d="M3 2V18" stroke="{oxblood}" stroke-width="2"/>'
    '<path d="M4 2H15L12 6L15 10H4Z" fill="{oxblood}"/>'
)
SIZES = {"list": 1.0, "large": 1.6, "paper": 0.9}
# The rung alone, width and height, where the page itself draws unbroken stiles.
BETWEEN = {"open": (42, 26), "folded": (42, 8), "twin": (33, 21)}
# One rung of the strip that lies on its side, 7 wide and 32 high.
STRIP_RUNGS = {
    "up": '<path d="M{x} 2V30" stroke="{teal}" stroke-width="2.6"/>',
    "down": (
        '<path d="M{x} 2V11L{right} 14M{x} 30V21L{right} 18" stroke="{oxblood}" '
        'stroke-width="2.6"/>'
    ),
    "odd": (
        '<path d="M{x} 2V8L{left} 12L{right} 20L{x} 24V30" stroke="{olive}" '
        'stroke-width="2.4"/>'
    ),
    "unread": (
        '<path d="M{x} 3V30" stroke="{slate}" stroke-width="1.6" '
        'stroke-dasharray="1.6 3"/>'
    ),
    "resting": '<path d="M{x} 2V30" stroke="{slate}" stroke-width="1.2"/>',
    "not_fitted": '<path d="M{x} 2V6M{x} 30V26" stroke="{line}" stroke-width="1.6"/>',
}
STRIP_STILES = '<path d="M0 1.2H64M0 30.8H64" stroke="{ink}" stroke-width="2.2"/>'


def drawing(
    body: str, width: int, height: int, kind: str, *, size: str, paper: bool
) -> SafeString:
    """An SVG of one of the drawings above, as large as its ``size`` says."""
    scale = SIZES[size]
    shown = (round(width * scale), round(height * scale))
    return svg(body, f"0 0 {width} {height}", shown, kind, paper=paper)


def svg(
    body: str, view: str, shown: tuple[int, int], kind: str, *, paper: bool
) -> SafeString:
    """The element itself; ``body`` is never a person's text."""
    styled = body.format(**PAPER) if paper else as_classes(body)
    return format_html(
        '<svg class="mark mark-{}" width="{}" height="{}" viewBox="{}" '
        'preserveAspectRatio="{}" aria-hidden="true" focusable="false">{}</svg>',
        kind,
        *shown,
        view,
        "none" if "folded" in kind else "xMidYMid",
        mark_safe(styled),  # noqa: S308  our own drawing, no outside text in it
    )


def as_classes(body: str) -> str:
    """On screen a colour is a class, so that the theme and forced colours decide."""
    return ELEMENT.sub(_classed, body)


def _classed(element: "re.Match[str]") -> str:
    classes = [f"{kind[0]}-{name}" for kind, name in COLOUR.findall(element.group())]
    plain = COLOUR.sub("", element.group())
    return plain.replace("/>", f' class="{" ".join(classes)}"/>')


@register.simple_tag
def rung_mark(state: str, size: str = "list", *, paper: bool = False) -> SafeString:
    """A rung; with its stiles unless ``size`` is one of ``BETWEEN``."""
    rung = RUNGS.get(state, RUNGS["unread"])
    if size in BETWEEN:
        kind = f"rung-{state} mark-{size}"
        return svg(rung, "2 0 32 20", BETWEEN[size], kind, paper=paper)
    return drawing(STILES + rung, 36, 20, f"rung-{state}", size=size, paper=paper)


@register.simple_tag
def verdict_mark(word: str, size: str = "list", *, paper: bool = False) -> SafeString:
    body = VERDICTS.get(word, VERDICTS["unclear"])
    return drawing(body, 40, 20, f"verdict-{word}", size=size, paper=paper)


@register.simple_tag
def held_off_mark(size: str = "list", *, paper: bool = False) -> SafeString:
    return drawing(HELD_OFF, 36, 20, "held-off", size=size, paper=paper)


@register.simple_tag
def speaks_mark(way: str, size: str = "list", *, paper: bool = False) -> SafeString:
    return drawing(SPEAKS[way], 12, 12, f"speaks-{way}", size=size, paper=paper)


@register.simple_tag
def turn_mark(whose: str, size: str = "list", *, paper: bool = False) -> SafeString:
    body = TURNS.get(whose, TURNS["nobody"])
    return drawing(body, 24, 16, f"turn-{whose}", size=size, paper=paper)


@register.simple_tag
def flag_mark(size: str = "list", *, paper: bool = False) -> SafeString:
    return drawing(FLAG, 16, 20, "flag", size=size, paper=paper)


@register.simple_tag
def ladder_strip(words: list[str], *, paper: bool = False) -> SafeString:
    """The whole ladder lying on its side, one rung a stage."""
    step = 64 / max(1, len(words))
    rungs = ""
    for place, word in enumerate(words):
        x = round((place + 0.5) * step, 1)
        rung = STRIP_RUNGS.get(word, STRIP_RUNGS["unread"])
        for name, value in (("x", x), ("left", x - 2.5), ("right", x + 2.5)):
            rung = rung.replace(f"{{{name}}}", f"{value:g}")
        rungs += rung
    return drawing(STRIP_STILES + rungs, 64, 32, "strip", size="list", paper=paper)
