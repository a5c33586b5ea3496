"""The run of ``manage.py measure``: a big shop, its table, what it ran on."""

import json
import os
import platform
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import django
from django.db import connection

from diagnostics.engine.circuit.cloud import BOARDS
from diagnostics.models import Reading
from shop.intake.models import Ticket
from tests.measuring.bulk import BigShop, big_shop
from tests.measuring.finding import circuits_named
from tests.measuring.office import memory, office_rows
from tests.measuring.pages import all_rows
from tests.measuring.policies import policies
from tests.measuring.reasoning import reasoning
from tests.measuring.rows import Row
from tests.measuring.searching import searched

RANDOM = 100  # boards of each kind whose optimum is reckoned
HEAD = f"{'':20}{'ours ms':>18}{'reference ms':>18}{'ratio':>8}{'queries':>9}{'n':>7}"


@dataclass(frozen=True)
class Size:
    tickets: int = 10_000
    readings: int = 300_000
    rounds: int = 100
    seed: int = 1
    virtual: int = BOARDS
    built: str = ""


@dataclass(frozen=True)
class Measured:
    size: Size
    built_in: float
    rows: tuple[Row, ...]


def measured(size: Size) -> Measured:
    """Build the shop in the connected, empty database and measure it.

    Or measure one that stands there, by the keys that its building told.
    """
    start = time.monotonic()
    if size.built:
        big = BigShop.of_keys(json.loads(Path(size.built).read_text()))
    else:
        big = big_shop(size.tickets, size.readings, size.seed)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    built_in = time.monotonic() - start
    rows = (
        *all_rows(big, size.rounds),
        *searched(big.shop, size.rounds),
        *office_rows(big, size.rounds),
        circuits_named(size.rounds),
        *reasoning(size.rounds, size.virtual),
    )
    return Measured(size, built_in, rows)


def account(size: Size) -> str:
    done = measured(size)
    how = f"built in {done.built_in:.0f} s (seed {size.seed})"
    return (
        f"\n{server()}: {Ticket.objects.count()} tickets, "
        f"{Reading.objects.count()} readings, {'as it stands' if size.built else how}\n"
        f"{table(done.rows)}\n{facts()}; {memory()}\n"
        f"expected minutes to the fault, over the optimum:\n"
        + "\n".join(policies(RANDOM))
    )


def table(rows: Iterable[Row]) -> str:
    lines = [HEAD]
    for one in rows:
        ours = f"{shown(one.ours)} / {shown(one.ours_p95)}"
        reference = f"{shown(one.reference)} / {shown(one.reference_p95)}"
        lines.append(
            f"{one.name:20}{ours:>18}{reference:>18}{one.ratio:>8.2f}"
            f"{one.queries:>9}{one.rounds:>7}"
        )
    return "\n".join(lines)


def shown(milliseconds: float) -> str:
    if milliseconds >= 1000:
        return f"{milliseconds:.0f}"
    return f"{milliseconds:.2f}" if milliseconds >= 1 else f"{milliseconds:.4f}"


def facts() -> str:
    return (
        "each figure is median / 95th percentile, ours and the reference by turns; "
        f"{os.cpu_count()} cores, Python {platform.python_version()}, "
        f"Django {django.get_version()}, {server()} on {sys.platform}"
    )


def server() -> str:
    """The database and its version, as it says itself."""
    is_sqlite = connection.vendor == "sqlite"
    asked = "SELECT 'SQLite ' || sqlite_version()" if is_sqlite else "SELECT version()"
    with connection.cursor() as cursor:
        cursor.execute(asked)
        row = cursor.fetchone()
    return " ".join(str(row[0]).split()[:2]) if row else connection.vendor
