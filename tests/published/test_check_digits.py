"""Check digits against the standard's rows: check-values.md 8.6 to 8.9.

The values were recomputed with python-stdnum and recalled from the texts of
ISO/IEC 7064, ISBT 128 and the GRid standard (MEMORY, not read again).
"""

from types import ModuleType

import pytest
from stdnum.iso7064 import mod_11_2, mod_11_10, mod_37_2, mod_37_36

from shop.intake import numbers


@pytest.mark.parametrize(
    ("scheme", "digits", "check"),
    [
        (mod_11_2, "0794", "0"),  # 8.6, ISO/IEC 7064
        (mod_11_2, "079", "X"),  # 8.6
        (mod_11_10, "0794", "5"),  # 8.7
        (mod_11_10, "00200667308", "5"),  # 8.7
        (mod_37_2, "G123489654321", "Y"),  # 8.8, as in ISBT 128
        (mod_37_36, "A12425GABC1234002", "M"),  # 8.9, as in GRid
    ],
)
def test_the_library_agrees_with_the_standard(
    scheme: ModuleType, digits: str, check: str
) -> None:
    assert scheme.calc_check_digit(digits) == check
    assert scheme.is_valid(digits + check)


def mod_11_10_by_hand(digits: str) -> str:
    """ISO/IEC 7064, hybrid system: from 10, add, modulo 10 (0: 10), double, 11."""
    product = 10
    for digit in digits:
        total = (product + int(digit)) % 10 or 10
        product = total * 2 % 11
    return str((11 - product) % 10)


def test_ours_is_the_hybrid_system_step_by_step() -> None:
    assert mod_11_10_by_hand("0794") == "5"
    for serial in [*range(1, 3000), 10**9, 987_654_321_012]:
        number = numbers.number_of(serial)
        assert number == f"{serial}{mod_11_10_by_hand(str(serial))}"
