"""Papers: what they may fetch, the same bytes, names in any script."""

from datetime import UTC, datetime
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from shop import pdf

STAMP = datetime(2026, 1, 2, 3, 4, tzinfo=UTC)
HOSTILE = (
    '<link rel=attachment href="file:///etc/passwd">'
    '<img src="http://127.0.0.1:9/pixel.png"><img src="file:///etc/passwd">'
    '<link rel=stylesheet href="http://127.0.0.1:9/style.css">'
)


def paper(body: str) -> str:
    return (
        '<html lang="en"><head><title>Paper</title>'
        '<link rel="stylesheet" href="static:css/paper.css"></head>'
        f"<body><p>{body}</p></body></html>"
    )


@pytest.mark.parametrize(
    "url",
    [
        "http://127.0.0.1/x.css",
        "file:///etc/passwd",
        "static:../shop/settings.py",
        "static:/etc/passwd",
        "static:css/../../manage.py",
        "static:js/outbox.js",
        "https://papers.invalid/../secret_key",
        "data:text/css,p{}",
        "ftp://127.0.0.1/x.css",
    ],
)
def test_a_paper_may_have_our_styles_and_fonts_alone(url: str) -> None:
    with pytest.raises(pdf.NotForPapers):
        pdf.static_name(url)


def test_our_own_style_is_served() -> None:
    assert pdf.static_name("static:css/paper.css") == "css/paper.css"
    assert pdf.static_bytes("css/paper.css").startswith(b"/* Papers")


def test_hostile_markup_fetches_and_attaches_nothing() -> None:
    reader = PdfReader(BytesIO(pdf.render(paper(HOSTILE), stamp=STAMP)))
    assert not reader.attachments
    assert "root:" not in reader.pages[0].extract_text()


def test_the_same_paper_is_the_same_bytes() -> None:
    first, second = (pdf.render(paper("same"), stamp=STAMP) for _time in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("name", "face"),
    [("Ada Pell", ""), ("עדה", "Hebrew"), ("آدا", "Arabic"), ("Ada 🙂", "Emoji")],
)
def test_a_name_in_any_script_has_its_face(name: str, face: str) -> None:
    reader = PdfReader(BytesIO(pdf.render(paper(name), stamp=STAMP)))
    resources: Any = reader.pages[0]["/Resources"]
    faces = resources["/Font"].values()
    fonts = " ".join(str(face.get_object()["/BaseFont"]) for face in faces)
    assert face in fonts.replace("-", "")
    assert ("Noto" in fonts) == bool(face)


def test_a_missing_file_of_ours_is_no_silent_loss() -> None:
    with pytest.raises(FileNotFoundError):
        pdf.static_bytes("css/nothing.css")
