"""A QR code as inline SVG, for pages and badges."""

import io

import segno
from django.utils.safestring import SafeString, mark_safe

QUIET_MODULES = 4


def code_of(text: str) -> SafeString:
    drawn = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        drawn,
        kind="svg",
        xmldecl=False,
        svgns=True,
        omitsize=True,
        border=QUIET_MODULES,
        light="white",
        svgclass="code",
        lineclass=None,
    )
    return mark_safe(drawn.getvalue().decode())  # noqa: S308  segno's own drawing
