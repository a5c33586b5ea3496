"""References inside a family: every id that is named exists, nothing loops. PURE."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from diagnostics.engine.family import Family, Point, Rail, Signal
from diagnostics.engine.family_file import Path, Source


def hold_together(family: Family, source: Source) -> Family:
    """Refuse what points nowhere or in a circle; give points their rail's texts.

    Raises ``FamilyError``: ``unknown_reference`` (to), ``loop_of_needs`` (loop),
    ``not_in_a_walk``, ``walked_twice``, ``id_reused`` (id).
    """
    _nodes(family, source)
    _parts(family, source)
    _checks(family, source)
    _walks(family, source)
    _gaps(family, source)
    _old_ids(family, source)
    return _labelled(family)


def _known(
    names: Iterable[str], among: Iterable[str], path: Path, source: Source
) -> None:
    known = set(among)
    for name in names:
        if name not in known:
            source.refuse("unknown_reference", path, to=name)


def _nodes(family: Family, source: Source) -> None:
    nodes: dict[str, Rail | Signal] = {**family.rails, **family.signals}
    stages = [stage.id for stage in family.stages]
    for section, members in (("rails", family.rails), ("signals", family.signals)):
        for key, node in members.items():
            _known([node.stage], stages, (section, key, "stage"), source)
            _known(node.needs, nodes, (section, key, "needs"), source)
            _known(node.starts_after, nodes, (section, key, "starts_after"), source)
    for key, rail in family.rails.items():
        _known([rail.source_block], family.blocks, ("rails", key, "block"), source)
    for key in family.signals:
        if key in family.rails:
            source.refuse("duplicate_id", ("signals", key))
    feeds = {key: (*node.needs, *node.starts_after) for key, node in nodes.items()}
    section_of = {key: "rails" if key in family.rails else "signals" for key in nodes}
    _no_loop(feeds, section_of, source)


def _parts(family: Family, source: Source) -> None:
    nodes = {*family.rails, *family.signals}
    stages = [stage.id for stage in family.stages]
    for key, block in family.blocks.items():
        _known([block.stage], stages, ("blocks", key, "stage"), source)
        _known(block.makes, nodes, ("blocks", key, "makes"), source)
        _known(block.needs, nodes, ("blocks", key, "needs"), source)
    for key, part in family.parts.items():
        _known([part.block], family.blocks, ("parts", key, "block"), source)
        for number, mode in enumerate(part.modes):
            _known(mode.touches, nodes, ("parts", key, "modes", number), source)


def _checks(family: Family, source: Source) -> None:
    stages = [stage.id for stage in family.stages]
    nodes = {*family.rails, *family.signals}
    for key, check in family.checks.items():
        _known([check.stage], stages, ("checks", key, "stage"), source)
        _known(check.needs, family.checks, ("checks", key, "needs"), source)
        _known(check.gates, family.checks, ("checks", key, "gates"), source)
        for answer, blocks in check.blames.items():
            path = ("checks", key, "blames", answer)
            _known(blocks, family.blocks, path, source)
        for pair in check.opens:
            _known(pair, nodes, ("checks", key, "opens"), source)
        for point in check.points:
            _place(family, point, nodes, source)
    _known(family.power_gates, family.checks, ("power", "gates"), source)
    before = {key: (*check.needs, *check.gates) for key, check in family.checks.items()}
    _no_loop(before, dict.fromkeys(before, "checks"), source)


def _place(family: Family, point: Point, nodes: set[str], source: Source) -> None:
    path: Path = ("checks", point.check, "points")
    _known([point.rail] if point.rail else [], family.rails, path, source)
    _known([point.signal] if point.signal else [], family.signals, path, source)
    _known(point.pair or (), nodes, path, source)


def _walks(family: Family, source: Source) -> None:
    stages = [stage.id for stage in family.stages]
    _known(family.walks, stages, ("walks",), source)
    walked: set[str] = set()
    for stage, ids in family.walks.items():
        _known(ids, family.checks, ("walks", stage), source)
        if walked & set(ids) or len(set(ids)) != len(ids):
            source.refuse("walked_twice", ("walks", stage))
        walked |= set(ids)
    for key in family.checks:
        if key not in walked:
            source.refuse("not_in_a_walk", ("checks", key))


def _gaps(family: Family, source: Source) -> None:
    """What a chosen variant leaves out: stages, rails, signals or points."""
    stages = [stage.id for stage in family.stages]
    places = {*stages, *family.rails, *family.signals, *family.points}
    _known(sorted(family.not_fitted), places, ("variants",), source)


def _no_loop(
    needs: Mapping[str, tuple[str, ...]], section_of: Mapping[str, str], source: Source
) -> None:
    """Depth first; a node met again on its own trail closes a loop."""
    settled: set[str] = set()

    def visit(key: str, trail: tuple[str, ...]) -> None:
        if key in trail:
            loop = " > ".join((*trail[trail.index(key) :], key))
            source.refuse("loop_of_needs", (section_of[key], key, "needs"), loop=loop)
        if key not in settled:
            for other in needs[key]:
                visit(other, (*trail, key))
            settled.add(key)

    for key in needs:
        visit(key, ())


def ids_of(family: Family) -> dict[str, tuple[str, ...]]:
    """Every id that may stand in a row of the database, with its old names."""
    found: dict[str, tuple[str, ...]] = {}
    for kind, members in (
        ("rail", family.rails),
        ("signal", family.signals),
        ("part", family.parts),
        ("check", family.checks),
        ("point", family.points),
    ):
        for key, member in members.items():
            found[f"{kind} {key}"] = tuple(f"{kind} {old}" for old in member.was)
    for part in family.parts.values():
        found |= {f"mode {part.id}:{mode.id}": () for mode in part.modes}
    return found


def _old_ids(family: Family, source: Source) -> None:
    ids = ids_of(family)
    seen: set[str] = set()
    for old in (old for was in ids.values() for old in was):
        if old in ids or old in seen:
            kind, name = old.split(" ", 1)
            source.refuse("id_reused", (f"{kind}s", name), id=name)
        seen.add(old)


def _labelled(family: Family) -> Family:
    """Points without a label or place of their own take those of their rail."""
    checks = {
        key: replace(check, points=tuple(_named(family, p) for p in check.points))
        for key, check in family.checks.items()
    }
    return replace(family, checks=checks)


def _named(family: Family, point: Point) -> Point:
    rail = family.rails.get(point.rail or "")
    signal = family.signals.get(point.signal or "")
    name = rail.name if rail else signal.name if signal else ""
    return replace(
        point,
        label=point.label or name,
        where=point.where or (rail.where if rail else ""),
    )
