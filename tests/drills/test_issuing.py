"""The drill of issuing, small: two processes of four threads, and kills.

Both databases get the whole of it by ``manage.py drill issuing``.
"""

import os
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests import made_database
from tests.drills.issuing import half_of
from tests.drills.place import ROOT


@pytest.mark.one_database
def test_no_gap_no_double_no_half_invoice(tmp_path: Path, made_folder: Path) -> None:
    place = made_database.put_in(tmp_path, made_folder)
    said = subprocess.run(
        [sys.executable, "-m", "tests.drills.issuing"],
        cwd=ROOT,
        env=os.environ | {"DATABASE_URL": f"sqlite:///{place}"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert said.returncode == 0, said.stdout + said.stderr
    assert "8 threads" in said.stdout
    assert "nothing lost" in said.stdout


@dataclass
class Row:
    """Anything with amounts."""

    net_minor: int = 0
    tax_minor: int = 0
    total_minor: int = 0
    amount_minor: int = 0


@dataclass
class Rows:
    rows: list[Row]

    def all(self) -> list[Row]:
        return self.rows


@dataclass
class Paper:
    """An invoice of 10.00 and 2.00 tax, paid; what the judge is asked about."""

    kind: str = "invoice"
    net_minor: int = 1000
    tax_minor: int = 200
    total_minor: int = 1200
    lines: Rows = field(default_factory=lambda: Rows([Row(net_minor=1000)]))
    taxes: Rows = field(default_factory=lambda: Rows([Row(tax_minor=200)]))
    payments: Rows = field(default_factory=lambda: Rows([Row(amount_minor=1200)]))
    credit_notes: Rows = field(default_factory=lambda: Rows([]))

    def __str__(self) -> str:
        return "1"


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        ({}, []),
        ({"lines": Rows([])}, ["1: lines"]),
        ({"taxes": Rows([Row(tax_minor=199)])}, ["1: taxes"]),
        ({"payments": Rows([])}, ["1: payment"]),
        ({"credit_notes": Rows([Row(total_minor=-1201)])}, ["1: -1 is left"]),
        (
            {"payments": Rows([Row(amount_minor=1), Row(amount_minor=-2)])},
            ["1: more given back than paid"],
        ),
    ],
)
def test_the_judge_sees_each_half(broken: dict[str, Any], said: list[str]) -> None:
    paper: Any = Paper(**broken)
    assert list(half_of(paper)) == said
