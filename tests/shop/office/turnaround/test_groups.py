"""Which kind of ticket the sentence calls quick or slow."""

import numpy as np

from shop.office.turnaround.groups import Group, _says
from shop.office.turnaround.survival import Survival, survival


def of(*days: float) -> Survival:
    return survival(np.array(days), np.ones(len(days), np.bool_))


def group(label: str, *days: float, is_named: bool = True) -> Group:
    return Group(label, of(*days), len(days), None, is_named=is_named)


def test_what_has_no_name_is_neither_quickest_nor_slowest() -> None:
    quick, slow = group("Plug", 4, 5, 6), group("Tower", 9, 10, 11)
    nameless = group("not named", 1, 1, 1, is_named=False)
    said = _says([quick, slow, nameless])
    assert "Quickest: Plug" in said
    assert "Slowest: Tower" in said
    assert "not named" not in said


def test_of_one_named_kind_no_other_is_compared() -> None:
    said = _says([group("Plug", 4, 5, 6), group("not named", 1, 1, 1, is_named=False)])
    assert said.startswith("Only one can be told yet: Plug")
