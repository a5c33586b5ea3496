"""HTML to PDF: the only module that imports WeasyPrint.

Papers may use our own stylesheets and fonts (``static:css/paper.css``), and the
pictures that the caller hands over with them (``logo:``, ``photo:`` and a name), and
nothing else: no file of this machine, no address of the network.
"""

import os
import re
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from functools import cache
from io import BytesIO
from math import ceil
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, NamedTuple

from django.contrib.staticfiles import finders

from shop import xmp

if TYPE_CHECKING:
    from weasyprint.document import Document
    from weasyprint.urls import URLFetcher

SCHEME = "static:"
LOGO = "logo:"
BASE = "https://papers.invalid/"
PNG, JPEG = "image/png", "image/jpeg"
TYPES = {".css": "text/css", ".woff2": "font/woff2", ".ttf": "font/ttf"}
# Hebrew, Arabic and everything beyond, pictures and emoji; not arrows and signs.
RARE_SIGNS = re.compile("[\u0590-\u1dff\u2600-\u27bf\u2c00-\U0010ffff]")
RARE_FACES = '<link rel="stylesheet" href="static:css/fonts-names.css"></head>'
LONGEST_STRIP_MM = 3000
MM = 96 / 25.4  # CSS pixels in a millimetre
_stamping = threading.Lock()


class NotForPapers(ValueError):
    """A paper asked for something that papers may not have."""


class Roll(NamedTuple):
    """Papers from a roll: their PDF, the roll's width, the length of each page."""

    body: bytes
    width_mm: float
    lengths_mm: tuple[float, ...]

    @property
    def media(self) -> str:
        """The first page's size as a print system takes it (CUPS, ``Custom``)."""
        return f"Custom.{self.width_mm}x{self.lengths_mm[0]}mm"


def render(
    html: str,
    *,
    stamp: datetime,
    logo: bytes = b"",
    photos: Mapping[str, bytes] | None = None,
) -> bytes:
    """A PDF of ``html``; the same html, stamp and pictures give the same bytes.

    ``stamp`` is the paper's own date, written as its date of making. ``logo`` is a
    PNG that we encoded; the html names it ``logo:``. ``photos`` are JPEGs that we
    encoded, by the URL that the html names each with (``photo:…``).
    """
    from weasyprint import HTML  # noqa: PLC0415  0.6 s that most pages never need

    pictures = {url: (body, JPEG) for url, body in (photos or {}).items()}
    fetcher = _fetcher(pictures | _logo(logo))
    document = HTML(string=with_fonts(html), base_url=BASE, url_fetcher=fetcher)
    with _made_at(stamp):
        pdf: bytes = document.write_pdf(pdf_variant="pdf/ua-1")
    return pdf


def render_archived(
    html: str, *, stamp: datetime, logo: bytes = b"", e_invoice: bytes = b""
) -> bytes:
    """A PDF/A-3a of ``html``: tagged, and readable as long as PDFs are read.

    With the XML of an ``e_invoice`` it carries that as ``factur-x.xml``, and says so.
    The same html, stamp, logo and XML give the same bytes.
    """
    from weasyprint import HTML, Attachment  # noqa: PLC0415  see render

    fetcher = _fetcher(_logo(logo))
    source = HTML(string=with_fonts(html), base_url=BASE, url_fetcher=fetcher)
    document = source.render(pdf_variant="pdf/a-3a")
    attached = []
    if e_invoice:
        attached = [
            Attachment(
                string=e_invoice,
                name=xmp.FILE_NAME,
                relationship="Alternative",
                created=stamp,
                modified=stamp,
                url_fetcher=fetcher,
            )
        ]
        _say_e_invoice(document)
    with _made_at(stamp):
        pdf: bytes = document.write_pdf(pdf_variant="pdf/a-3a", attachments=attached)
    return pdf


def _say_e_invoice(document: "Document") -> None:
    metadata = document.metadata
    plain = metadata.generate_rdf_metadata
    metadata.generate_rdf_metadata = lambda *args: xmp.with_e_invoice(plain(*args))


def _logo(logo: bytes) -> dict[str, tuple[bytes, str]]:
    return {LOGO: (logo, PNG)} if logo else {}


def count_pages(html: str) -> int:
    """How many pages a paper without pictures takes."""
    from weasyprint import HTML  # noqa: PLC0415  see render

    source = HTML(string=with_fonts(html), base_url=BASE, url_fetcher=_fetcher({}))
    return len(source.render().pages)


def render_strips(htmls: Sequence[str], *, width_mm: float, stamp: datetime) -> Roll:
    """A PDF for a roll: one page a paper, as wide as the roll and as long as needed.

    Each paper ends with an element of the id ``end``; its margins are its own.
    """
    strips, lengths = [], []
    for html in htmls:
        end = _laid_out(html, width_mm, LONGEST_STRIP_MM).pages[0].anchors["end"]
        lengths.append(ceil(end[1] / MM * 10) / 10)
        strips.append(_laid_out(html, width_mm, lengths[-1]))
    pages = [page for strip in strips for page in strip.pages]
    with _made_at(stamp):
        body: bytes = strips[0].copy(pages).write_pdf(pdf_variant="pdf/ua-1")
    return Roll(body, width_mm, tuple(lengths))


def _laid_out(html: str, width_mm: float, length_mm: float) -> "Document":
    from weasyprint import CSS, HTML  # noqa: PLC0415  see render

    size = f"@page {{ size: {width_mm}mm {length_mm}mm; margin: 0; }}"
    source = HTML(string=with_fonts(html), base_url=BASE, url_fetcher=_fetcher({}))
    sheets = [CSS(string=size, url_fetcher=_fetcher({}))]
    return source.render(stylesheets=sheets, pdf_variant="pdf/ua-1")


def with_fonts(html: str) -> str:
    """Add the large faces of rarer scripts only where a sign needs one."""
    return html.replace("</head>", RARE_FACES, 1) if RARE_SIGNS.search(html) else html


def static_name(url: str) -> str:
    """The static file that a URL of a paper names, or ``NotForPapers``."""
    for start in (SCHEME, BASE):
        if url.startswith(start):
            name = url.removeprefix(start)
            break
    else:
        raise NotForPapers(url)
    path = PurePosixPath(name)
    if path.suffix not in TYPES or ".." in path.parts or path.is_absolute():
        raise NotForPapers(url)
    return name


@cache
def static_bytes(name: str) -> bytes:
    path = finders.find(name)
    if path is None:
        raise FileNotFoundError(f"static/{name}")
    body = Path(path).read_bytes()
    return _unpacked(body) if name.endswith(".woff2") else body


def _unpacked(font: bytes) -> bytes:
    """A font without its packing, which WeasyPrint would undo for each paper."""
    from fontTools.ttLib import woff2  # noqa: PLC0415  comes with WeasyPrint

    plain = BytesIO()
    woff2.decompress(BytesIO(font), plain)
    return plain.getvalue()


Pictures = Mapping[str, tuple[bytes, str]]


def _fetcher(pictures: Pictures) -> "URLFetcher":
    return _fetcher_class()(pictures)


@cache
def _fetcher_class() -> "Callable[[Pictures], URLFetcher]":
    from weasyprint.urls import (  # noqa: PLC0415  see render
        FatalURLFetchingError,
        URLFetcher,
        URLFetcherResponse,
    )

    class OurFilesOnly(URLFetcher):  # type: ignore[misc]
        def __init__(self, pictures: Pictures) -> None:
            super().__init__(allowed_protocols=(), allow_redirects=False)
            self.pictures = pictures

        def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
            if url in self.pictures:
                body, kind = self.pictures[url]
                return URLFetcherResponse(url, body, {"Content-Type": kind})
            name = static_name(url)
            try:
                body = static_bytes(name)
            except FileNotFoundError as error:
                raise FatalURLFetchingError(f"{error} is missing") from error
            kind = TYPES[PurePosixPath(name).suffix]
            return URLFetcherResponse(BASE + name, body, {"Content-Type": kind})

    return OurFilesOnly


@contextmanager
def _made_at(stamp: datetime) -> Iterator[None]:
    with _stamping:
        before = os.environ.get("SOURCE_DATE_EPOCH")
        os.environ["SOURCE_DATE_EPOCH"] = str(int(stamp.timestamp()))
        try:
            yield
        finally:
            if before is None:
                del os.environ["SOURCE_DATE_EPOCH"]
            else:
                os.environ["SOURCE_DATE_EPOCH"] = before
