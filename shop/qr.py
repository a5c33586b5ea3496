"""QR codes as inline SVG: the one way in which papers and pages draw them."""

import io
from decimal import Decimal

import segno
from django.utils.safestring import SafeString, mark_safe
from segno import helpers

QUIET_MODULES = 4  # ISO/IEC 18004 asks for four clear modules around it
SMALLEST_CODE = 1


def svg(text: str) -> SafeString:
    """Black on white, also in the dark theme; its size is the stylesheet's."""
    return _drawn(segno.make(text, error="m", micro=False))


def transfer(*, name: str, iban: str, amount: Decimal, reference: str) -> SafeString:
    """What a bank's app takes for a transfer in euros (EPC069-12, version 002)."""
    code = helpers.make_epc_qr(
        name=name, iban=iban, amount=amount, text=reference, encoding="utf-8"
    )
    return _drawn(code)


def _drawn(code: segno.QRCode) -> SafeString:
    drawn = io.BytesIO()
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
