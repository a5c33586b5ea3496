"""QR codes as inline SVG: the one way in which papers and pages draw them."""

import io

import segno
from django.utils.safestring import SafeString, mark_safe

QUIET_MODULES = 4  # ISO/IEC 18004 asks for four clear modules around it
SMALLEST_CODE = 1


def svg(text: str) -> SafeString:
    """Black on white, also in the dark theme; its size is the stylesheet's."""
    drawn = io.BytesIO()
    code = segno.make(text, error="m", micro=False)
    code.save(
        drawn,
        kind="svg",
        xmldecl=False,
        svgns=True,
        omitsize=True,
        border=QUIET_MODULES,
        light="white",
        svgclass="code" if code.version == SMALLEST_CODE else "code is-larger",
        lineclass=None,
    )
    return mark_safe(drawn.getvalue().decode())  # noqa: S308  drawn here, no text in it
