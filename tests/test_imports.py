"""Imports go one way: the map of the house, checked on every module."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FREE = ("shop.money", "shop.bootstrap", "shop.qr", "shop.shown")

# What each room may import of ours, besides itself and the pure shop.money.
MAY_IMPORT = {
    "shop.records": set[str](),
    "shop.people": {"shop.records", "shop.pdf"},
    "shop.printing": {"shop.records", "shop.people", "shop.pdf"},
    "shop.intake": {"shop.records", "shop.people", "shop.printing", "shop.pdf"},
    "shop.photos": {"shop.records", "shop.people", "shop.intake"},
    "diagnostics": {
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.photos",
        "shop.pdf",
    },
    "diagnostics.engine": set[str](),
    "shop.billing": {
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.photos",
        "shop.printing",
        "shop.pdf",
    },
    "shop.messaging": {
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.billing",
    },
    "shop.books": {
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.billing",
        "shop.pdf",
    },
    "shop.searching": {
        "shop.records",
        "shop.people",
        "shop.intake",
        "diagnostics",
    },
    "shop.office": {
        "shop.pdf",
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.photos",
        "shop.billing",
        "shop.books",
        "diagnostics",
    },
    "shop.opening": {
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.billing",
    },
    "shop.desk": {
        "shop.printing",
        "shop.records",
        "shop.people",
        "shop.intake",
        "shop.photos",
        "shop.billing",
        "shop.books",
        "shop.messaging",
        "shop.searching",
        "shop.office",
        "shop.pdf",
        "diagnostics",
    },
    "shop.serving": {
        "shop.records",
        "shop.people",
        "shop.opening",
        "shop.searching",
        "shop.keeping",
    },
    "shop.keeping": {"shop.records", "shop.people", "shop.pdf"},
    "shop.rights": {
        "shop.records",
        "shop.people",
        "shop.printing",
        "shop.intake",
        "shop.photos",
        "shop.billing",
        "shop.books",
        "shop.searching",
        "shop.office",
        "shop.opening",
        "shop.keeping",
        "diagnostics",
    },
}
ENGINE_MAY_USE = {"pint", "numpy", "scipy"}
PURE = (
    "shop/money.py",
    "shop/xmp.py",
    "shop/records/due.py",
    "shop/records/kinds.py",
    "shop/records/holding.py",
    "shop/people/hours.py",
    "shop/people/ids.py",
    "shop/people/open_time.py",
    "shop/people/prices.py",
    "shop/people/text_fields.py",
    "shop/records/cells.py",
    "shop/opening/imports/reading.py",
    "shop/opening/imports/columns.py",
    "shop/keeping/rotation.py",
    "shop/keeping/sealed.py",
    "shop/intake/facts.py",
    "shop/intake/turn.py",
    "shop/intake/read_out.py",
    "shop/photos/limits.py",
    "shop/searching/plain.py",
    "shop/searching/asking.py",
    "shop/searching/ranking.py",
    "shop/intake/numbers.py",
    "shop/intake/promise.py",
    "shop/intake/scans.py",
    "shop/billing/totals.py",
    "shop/billing/einvoice/document.py",
    "shop/billing/einvoice/codes.py",
    "shop/billing/einvoice/rules.py",
    "shop/billing/einvoice/cii.py",
    "shop/billing/labour.py",
    "shop/billing/markup.py",
    "shop/billing/shelf/fifo.py",
    "shop/billing/shelf/reorder.py",
    "shop/office/margin.py",
    "shop/office/drawings.py",
    "shop/office/sections.py",
    "shop/office/ods.py",
    "shop/office/drawing/axes.py",
    "shop/office/drawing/bars.py",
    "shop/office/drawing/control.py",
    "shop/office/drawing/curves.py",
    "shop/office/drawing/dots.py",
    "shop/office/drawing/draw.py",
    "shop/office/drawing/grounds.py",
    "shop/office/drawing/intervals.py",
    "shop/office/drawing/lettering.py",
    "shop/office/drawing/placing.py",
    "shop/office/drawing/reliability.py",
    "shop/office/drawing/says.py",
    "shop/office/drawing/scales.py",
    "shop/office/drawing/shapes.py",
    "shop/office/drawing/tally.py",
    "shop/office/drawing/trends.py",
    "shop/office/weekly/weeks.py",
    "shop/office/turnaround/ageing.py",
    "shop/office/turnaround/control.py",
    "shop/office/turnaround/flow.py",
    "shop/office/turnaround/split.py",
    "shop/office/turnaround/survival.py",
    "shop/office/turnaround/weeks.py",
    "shop/office/acting/rules.py",
    "shop/books/posting/accounts.py",
    "shop/books/posting/entries.py",
    "shop/books/posting/owed.py",
    "shop/books/posting/others.py",
    "shop/books/posting/ageing.py",
    "shop/books/posting/till.py",
    "diagnostics/lore_minutes.py",
    "shop/billing/clocks.py",
    "shop/billing/clock_kinds.py",
    "shop/billing/day_split.py",
    "shop/serving/certificates.py",
    "shop/serving/http1.py",
    "shop/serving/judging.py",
    "diagnostics/next_up.py",
)


def modules() -> list[Path]:
    found = [
        path
        for top in ("shop", "diagnostics")
        for path in sorted((ROOT / top).rglob("*.py"))
        if "migrations" not in path.parts
    ]
    assert len(found) > 40
    return found


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def imported_by(path: Path) -> set[str]:
    """Every module that a file imports, in functions too."""
    names = set[str]()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            module = node.module or ""
            names |= {f"{module}.{alias.name}" for alias in node.names} | {module}
    return names


def room_of(module: str) -> str | None:
    """The longest room name that a module lies in."""
    rooms = [r for r in MAY_IMPORT if module == r or module.startswith(r + ".")]
    return max(rooms, key=len) if rooms else None


def ours(names: set[str]) -> set[str]:
    return {n for n in names if n.split(".")[0] in {"shop", "diagnostics"}}


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_a_module_imports_only_what_its_room_may(path: Path) -> None:
    room = room_of(name_of(path))
    if room is None:
        return
    allowed = MAY_IMPORT[room]
    for name in ours(imported_by(path)) - {"shop", "diagnostics"}:
        target = room_of(name) or ("shop.pdf" if name.startswith("shop.pdf") else "")
        is_free = name.startswith(FREE) or target == room
        is_own_engine = room == "diagnostics" and target == "diagnostics.engine"
        is_lower = target in allowed or (
            target == "diagnostics.engine" and "diagnostics" in allowed
        )
        assert is_free or is_own_engine or is_lower, f"{room} imports {name}"


# Reads, words and what is pure: never an act.
OF_THE_BENCH = tuple(
    f"diagnostics.{name}"
    for name in (
        "queries",
        "models",
        "forecasts",
        "bridge",
        "sayings",
        "advice_words",
        "engine.",
    )
)


def test_office_reads_the_bench_and_never_acts_there() -> None:
    for path in (ROOT / "shop/office").rglob("*.py"):
        for name in imported_by(path):
            if name.startswith("diagnostics."):
                assert name.startswith(OF_THE_BENCH), f"{path.name} imports {name}"


def test_the_engine_imports_nothing_of_the_web() -> None:
    import sys

    for path in (ROOT / "diagnostics/engine").rglob("*.py"):
        for name in imported_by(path):
            top = name.split(".")[0]
            assert (
                top in sys.stdlib_module_names
                or top in ENGINE_MAY_USE
                or name.startswith("diagnostics.engine")
                or name == "diagnostics"
            ), f"{path.name} imports {name}"


@pytest.mark.parametrize("name", PURE)
def test_pure_modules_know_neither_django_nor_clock(name: str) -> None:
    imported = imported_by(ROOT / name)
    assert not {n for n in imported if n.split(".")[0] == "django"}
    assert not imported & {"time", "os", "random", "django.utils.timezone"}


def test_only_one_module_imports_weasyprint() -> None:
    users = [
        name_of(path)
        for path in modules()
        if any(n.split(".")[0] == "weasyprint" for n in imported_by(path))
    ]
    assert users == ["shop.pdf"]


def test_pint_is_kept_to_the_quantities() -> None:
    users = [
        name_of(path)
        for path in modules()
        if any(n.split(".")[0] == "pint" for n in imported_by(path))
    ]
    assert users == ["diagnostics.engine.quantities"]
