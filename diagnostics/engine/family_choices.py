"""What a board model of a family may choose: its variants and its counts. PURE.

>>> from diagnostics.engine.boards import load_family
>>> choices_of(load_family("laptop_barrel"))[0].options[:3]
('ddr3', 'ddr3l', 'ddr4')
"""

from dataclasses import dataclass

from diagnostics.engine.family import Family
from diagnostics.engine.family_layers import read_documents


@dataclass(frozen=True)
class Choice:
    """One key that a board model may patch without knowing any figure.

    ``options`` are those of a variant; a count has ``least`` and ``most`` instead.
    """

    key: str
    default: str
    options: tuple[str, ...] = ()
    least: int = 0
    most: int = 0


def choices_of(family: Family) -> tuple[Choice, ...]:
    """Variants first, then counts, in the order of the family's files."""
    document, _source = read_documents(family.texts)
    variants = (
        Choice(f"variants.{name}", variant["default"], tuple(variant["options"]))
        for name, variant in document.get("variants", {}).items()
    )
    counts = (
        Choice(
            f"counts.{name}",
            str(count["default"]),
            least=count["low"],
            most=count["high"],
        )
        for name, count in document.get("counts", {}).items()
    )
    return (*variants, *counts)
