"""No page and no paper asks anything of the outside, or styles itself inline."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
STYLES = sorted((ROOT / "static").rglob("*.css"))
OUTSIDE = re.compile(r"""(?:src|href|action|url\()\s*=?\s*["'(]?\s*(?:https?:)?//""")
INLINE = re.compile(r"""<style\b|<script\b(?![^>]*\bsrc=)|\son\w+=|\sstyle=""")


@pytest.mark.parametrize("path", TEMPLATES + STYLES, ids=lambda p: p.name)
def test_nothing_is_fetched_from_elsewhere(path: Path) -> None:
    assert not OUTSIDE.search(path.read_text(encoding="utf-8"))


IN_A_ZIP = {"package.html", "bundle.html"}
SERVED = [path for path in TEMPLATES if path.name not in IN_A_ZIP]


@pytest.mark.parametrize("path", SERVED, ids=lambda p: p.name)
def test_no_template_carries_inline_style_or_script(path: Path) -> None:
    assert not INLINE.search(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_no_template_trusts_data(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert "|safe" not in text
    assert "autoescape off" not in text


def test_there_was_something_to_look_at() -> None:
    assert len(TEMPLATES) > 60
    assert len(STYLES) > 8
