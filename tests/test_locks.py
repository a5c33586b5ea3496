"""The locks name all that is installed: pip is told to look for nothing else."""

from importlib.metadata import distributions

import pytest
from packaging.requirements import Requirement
from packaging.utils import NormalizedName, canonicalize_name

pytestmark = pytest.mark.one_database


def test_nothing_installed_asks_for_what_is_not_there() -> None:
    there = {canonicalize_name(each.name): each.version for each in distributions()}
    asked = [
        (each.name, Requirement(text))
        for each in distributions()
        for text in each.requires or []
    ]
    missing = [
        f"{name} asks for {wish}"
        for name, wish in asked
        if (wish.marker is None or wish.marker.evaluate({"extra": ""}))
        and not is_met(wish, there)
    ]
    assert asked
    assert missing == []


def is_met(wish: Requirement, there: dict[NormalizedName, str]) -> bool:
    version = there.get(canonicalize_name(wish.name))
    return version is not None and wish.specifier.contains(version, prereleases=True)
