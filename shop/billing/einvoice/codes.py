"""The codes that EN 16931 knows, from the lists that drafthorse carries. PURE."""

from functools import cache
from importlib.resources import files
from xml.etree import ElementTree as ET

LISTS = "schema/Factur-X_1.0.07_EN16931_codedb.xml"
# In that file and no longer in ISO 4217 (as newer lists of EN 16931 have it).
ENDED = {"ANG", "BGN", "CUC", "HRK", "ZWL"}


def currencies() -> frozenset[str]:
    """ISO 4217 (BT-5)."""
    return _list_with("EUR", "USD") - ENDED


def countries() -> frozenset[str]:
    """ISO 3166-1 alpha-2, and ``XI`` and ``1A`` (BT-40, BT-55)."""
    return _list_with("IE", "FR")


def units() -> frozenset[str]:
    """UN/ECE Recommendation 20 and 21 (BT-130)."""
    return _list_with("HUR", "MIN", "C62", "H87")


@cache
def _list_with(*codes: str) -> frozenset[str]:
    """The shortest list that has these codes."""
    return min((one for one in _lists() if one.issuperset(codes)), key=len)


@cache
def _lists() -> tuple[frozenset[str], ...]:
    text = (files("drafthorse") / LISTS).read_text(encoding="utf-8")
    root = ET.fromstring(text)  # noqa: S314  a file of an installed package
    return tuple(frozenset(one.get("value", "") for one in each) for each in root)
