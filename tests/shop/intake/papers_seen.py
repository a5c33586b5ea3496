"""Papers as a printer and a scanner see them: sizes, dots, codes, type sizes."""

import io
from dataclasses import dataclass
from typing import Any

import pypdfium2 as pdfium
import zxingcpp
from PIL import Image
from pypdf import PdfReader

POINTS_A_MM = 72 / 25.4
# The dots an inch of label and receipt printers, cp.
PRINTERS_DPI = (203, 300)
BLACK_BELOW = 128


def sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return [
        (float(p.mediabox.width) / POINTS_A_MM, float(p.mediabox.height) / POINTS_A_MM)
        for p in pages
    ]


def printed(pdf: bytes, dpi: int, page: int = 0) -> Image.Image:
    """The page in the printer's own dots, each black or white."""
    drawn = pdfium.PdfDocument(pdf)[page].render(scale=dpi / 72)
    grey: Image.Image = drawn.to_pil().convert("L")
    return grey.point(lambda level: 0 if level < BLACK_BELOW else 255).convert("1")


@dataclass(frozen=True)
class Code:
    text: str
    side_mm: float
    clear_mm: float


def codes_of(picture: Image.Image, dpi: int) -> list[Code]:
    """The QR codes, each with its side and the clear paper around it."""
    found = zxingcpp.read_barcodes(picture.convert("L"))
    return [_code(picture, one, dpi / 25.4) for one in found]


def _code(picture: Image.Image, found: Any, dots_a_mm: float) -> Code:
    at = found.position
    left, top = at.top_left.x, at.top_left.y
    right, bottom = at.bottom_right.x, at.bottom_right.y
    clear = 0
    while _is_white_around(picture, left, top, right, bottom, clear + 1):
        clear += 1
    side = min(right - left, bottom - top) / dots_a_mm
    return Code(found.text, side, clear / dots_a_mm)


def _is_white_around(
    picture: Image.Image, left: int, top: int, right: int, bottom: int, far: int
) -> bool:
    """Whether the frame that far around a code is white; found to two dots."""
    slack = 2
    box = (left - slack - far, top - slack - far, right + slack + far + 1)
    frame = (*box, bottom + slack + far + 1)
    if frame[0] < 0 or frame[1] < 0:
        return False
    if frame[2] > picture.width or frame[3] > picture.height:
        return False
    ring = picture.crop(frame).convert("L")
    inner = Image.new("L", (ring.width - 2, ring.height - 2), 255)
    ring.paste(inner, (1, 1))
    return bool(ring.getextrema()[0] == 255)


def margins_mm(picture: Image.Image, dpi: int) -> tuple[float, float, float, float]:
    """White paper left, above, right and below all ink."""
    ink = picture.convert("L").point(lambda level: 255 - level).getbbox()
    assert ink, "nothing is printed"
    left, top, right, bottom = ink
    dots_a_mm = dpi / 25.4
    edges = (left, top, picture.width - right, picture.height - bottom)
    return tuple(edge / dots_a_mm for edge in edges)  # type: ignore[return-value]


def type_sizes(pdf: bytes, page: int = 0) -> dict[str, float]:
    """Each piece of text with its size in points, as the PDF sets it."""
    sizes: dict[str, float] = {}

    def seen(text: str, cm: Any, tm: Any, font: Any, size: float) -> None:
        if text.strip():
            sizes[text.strip()] = abs(size * tm[3] * cm[3])

    PdfReader(io.BytesIO(pdf)).pages[page].extract_text(visitor_text=seen)
    return sizes
