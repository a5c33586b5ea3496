"""The house numbers of DEVELOPERS.md, counted from the source: a mirror.

Function length is from ``def`` to the last line, methods included; migrations
are left out. Run alone: ``python -m tests.house_numbers``.
"""

import ast
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


@dataclass(frozen=True)
class Function:
    lines: int
    where: str
    is_typed: bool


NO_FUNCTION = Function(0, "-", is_typed=True)


@dataclass(frozen=True)
class Group:
    """Some of our modules, measured."""

    name: str
    modules: tuple[tuple[int, str], ...]
    functions: tuple[Function, ...]

    @property
    def lines(self) -> int:
        return sum(lines for lines, _name in self.modules)


def functions_of(source: str, name: str) -> list[Function]:
    """Every function and method in a module's text.

    >>> [f.lines for f in functions_of("def a() -> int:\\n    return 1\\n", "m")]
    [2]
    """
    return [
        Function(
            (node.end_lineno or node.lineno) - node.lineno + 1,
            f"{name}:{node.name}",
            node.returns is not None,
        )
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


def measure(name: str, files: Iterable[Path]) -> Group:
    texts = {str(file.relative_to(ROOT)): file.read_text("utf-8") for file in files}
    return Group(
        name,
        tuple((len(text.splitlines()), path) for path, text in texts.items()),
        tuple(f for path, text in texts.items() for f in functions_of(text, path)),
    )


def sources(*folders: str) -> list[Path]:
    return [
        file
        for folder in folders
        for file in sorted((ROOT / folder).rglob("*.py"))
        if "migrations" not in file.parts
    ]


def percentile(values: list[int], share: float) -> int:
    """The smallest value that at least ``share`` of the values don't exceed.

    >>> percentile([1, 2, 3, 4], 0.5), percentile([1, 2, 3, 4], 0.9), percentile([], 1)
    (2, 4, 0)
    """
    ordered = sorted(values)
    if not ordered:
        return 0
    return ordered[max(0, -int(-share * len(ordered) // 1) - 1)]


def describe(group: Group) -> str:
    lengths = [f.lines for f in group.functions]
    over_50 = sum(1 for length in lengths if length > 50)
    share = 100 * over_50 / len(lengths) if lengths else 0
    typed = sum(1 for f in group.functions if f.is_typed)
    longest = max(group.functions, key=lambda f: f.lines, default=NO_FUNCTION)
    lines, largest = max(group.modules, default=(0, "-"))
    over_300 = sum(1 for length, _name in group.modules if length > 300)
    return f"""\
{group.name}: {group.lines} lines, {len(group.modules)} modules, \
{len(lengths)} functions ({typed} with a return type)
  functions: median {percentile(lengths, 0.5)}, p90 {percentile(lengths, 0.9)}, \
over 50 lines {over_50} ({share:.1f} %), longest {longest.lines} {longest.where}
  modules: largest {lines} {largest}, over 300 lines {over_300}"""


def over(limit: int, files: Iterable[Path]) -> list[str]:
    counted = [(len(f.read_text("utf-8").splitlines()), f) for f in files]
    return [f"{f.relative_to(ROOT)} {n}" for n, f in counted if n > limit]


def templates() -> str:
    files = sorted((ROOT / "templates").rglob("*.html"))
    fragments = [f for f in files if f.name.startswith("_")]
    pages = [f for f in files if not f.name.startswith("_")]
    long = ", ".join(over(150, pages) + over(60, fragments)) or "none"
    counts = f"{len(pages)} pages, {len(fragments)} fragments"
    return f"templates: {counts}; over 150 or 60 lines: {long}"


def ratio(tests: Group, code: Group) -> float:
    return tests.lines / code.lines if code.lines else 0.0


def show() -> None:
    code = measure("code", [ROOT / "manage.py", *sources("shop", "diagnostics")])
    tests = measure("tests", sources("tests"))
    engine = measure("engine", sources("diagnostics/engine"))
    engine_tests = measure("engine tests", sources("tests/engine"))
    print("\n== House numbers (aims: function median 8, p90 30, over 50 lines <= 2 %;")
    print("   module 300/500; tests to code >= 1.2, engine >= 1.5)")
    for group in (code, engine, tests):
        print(describe(group))
    print(templates())
    of_engine = f"engine {ratio(engine_tests, engine):.2f}"
    print(f"tests to code: {ratio(tests, code):.2f}, {of_engine}")


if __name__ == "__main__":
    show()
