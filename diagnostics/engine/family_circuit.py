"""The circuit of a family, read from its document. PURE.

Grammar of the section ``[circuit]``, which a family may leave out:

hold_leads           true where readings in ohms hold the leads' own
shorts_by_bands      true where a short that states no ohms lies under its rail's
                     "short below"
[circuit.loads]      net = { ohms = [low, high], drop = [...], amps = [...] }
                     what hangs from the net to ground; drop of its junction at 1 mA,
                     amperes that it takes from the board's supply while it is up;
                     with = { cpu = { ohms, drop } }: what lies there instead with
                     that in the board (coin_cell cpu modules)
[circuit.links]      id = { between = [net, net], ohms = [low, high] }
[circuit.junctions]  id = { from = net, to = net, drop = [low, high] }
[circuit.feeds.x]    what makes a net's volts: kind, to, from, and what
                     engine/circuit/parts.py says of Feed. A source, linear or buck
                     into a rail that states no volts gives the rail's nominal ones
                     (or the middle of its span), and spreads as the rail allows
[circuit.faults."p.x"]  way of failing = [changes]; "way@place" where the way may be at
                     one of many places; a change is one of
                     { short = net }, { leak = net, ohms = [low, high] },
                     { bridge = [net, net] }, { open = link or junction },
                     { dead = feed }, { low = feed }, { weak = feed },
                     { worn = feed or link },
                     short, leak, dead, low and open links with chance = share of
                     the boards on which it happens; a short may state its ohms
[circuit.read_at]    point = net, or [net, net] (the first to the second), or [] (it
                     is not predicted), or { at = ..., condition = a letter of its
                     own that feeds may name in their states }. The point may be
                     written without its number, or by its check alone; at a current
                     it is the net of the source
[circuit.answers]    point = [{ answer = "...", up = [nets], low = [nets],
                     retries = [feeds] or ["any"], at_limit = true, share = 0.5 }]:
                     the first that fits is answered, the last stands for the rest

"ground" is the one net that needs no rail or signal; nets that are neither are the
circuit's own. Sections are taken over from the family that this one builds on id by
id, "circuit.loads" and the others each for itself.
"""

from collections.abc import Iterable, Iterator, Mapping

from diagnostics.engine.circuit.parts import (
    GROUND,
    NO_FAULT,
    Answer,
    Change,
    Circuit,
    Fault,
    Junction,
    Link,
    Load,
    ReadAt,
    Span,
    split,
)
from diagnostics.engine.family import Check, Part, Rail
from diagnostics.engine.family_feeds import in_order, read_feed
from diagnostics.engine.family_file import Path, Table

# Of the ohms under which a rail counts as shorted: from hard to soft (judgement).
SHORTS: Span = (0.002, 0.9)
BY_CHANCE = frozenset({"short", "leak", "open", "dead", "low"})
CHANGES = ("short", "leak", "bridge", "open", "dead", "low", "weak", "worn")


def read_circuit(
    table: Table,
    parts: Mapping[str, Part],
    rails: Mapping[str, Rail],
    checks: Mapping[str, Check],
) -> Circuit:
    """Raises ``FamilyError`` as every reading of a family does."""
    feeds = [read_feed(id_, one, rails) for id_, one in table.table("feeds").tables()]
    circuit = Circuit(
        loads=tuple(_load(net, one) for net, one in table.table("loads").tables()),
        links=tuple(_link(id_, one) for id_, one in table.table("links").tables()),
        junctions=tuple(
            _junction(id_, one) for id_, one in table.table("junctions").tables()
        ),
        feeds=in_order(feeds),
        faults={
            NO_FAULT: (),
            **dict(_faults(table.table("faults"), parts, _bands(table, rails))),
        },
        read_at=dict(_read_at(_part(table, "read_at"))),
        answers=dict(_answers(_part(table, "answers"), checks)),
        hold_leads=table.flag("hold_leads"),
    )
    table.done()
    _hold_together(circuit, table)
    return circuit


def _part(table: Table, key: str) -> Table:
    """A part of the circuit that may be left out."""
    if table.has(key):
        return table.table(key)
    return Table({}, (*table.path, key), table.source)


def _load(net: str, table: Table) -> Load:
    made = Load(
        net,
        ohms=_ohms(table),
        drop=table.pair("drop") if table.has("drop") else None,
        amps=table.pair("amps") if table.has("amps") else None,
        fitted={what: _load(net, one) for what, one in _part(table, "with").tables()},
    )
    table.done()
    return made


def _ends(table: Table, key: str) -> tuple[str, str]:
    ends = table.two_texts(key)
    if ends is None:
        table.refuse("missing_key", key)
    return ends


def _link(id_: str, table: Table) -> Link:
    made = Link(id_, _ends(table, "between"), _ohms(table))
    table.done()
    return made


def _junction(id_: str, table: Table) -> Junction:
    made = Junction(id_, table.text("from"), table.text("to"), table.pair("drop"))
    table.done()
    return made


def _bands(table: Table, rails: Mapping[str, Rail]) -> dict[str, Span]:
    """By net: the ohms of a short there, where the bands say it."""
    if not table.flag("shorts_by_bands"):
        return {}
    return {
        rail.id: (rail.ohms.short_below * lowest, rail.ohms.short_below * highest)
        for rail in rails.values()
        if rail.ohms is not None
        for lowest, highest in (SHORTS,)
    }


def _faults(
    table: Table, parts: Mapping[str, Part], bands: Mapping[str, Span]
) -> Iterator[tuple[Fault, tuple[Change, ...]]]:
    for part_id, ways in table.tables():
        if part_id not in parts:
            table.refuse("unknown_reference", part_id, to=part_id)
        for way in ways.data:
            if not _is_way(parts[part_id], (part_id, way)):
                ways.refuse("unknown_reference", way, to=way)
            yield (part_id, way), tuple(_changes(ways, way, bands))
        ways.done()


def _is_way(part: Part, fault: Fault) -> bool:
    """Whether the part may fail so, and there."""
    _part, wanted, place = split(fault)
    return any(
        mode.id == wanted and (not place or place in mode.touches)
        for mode in part.modes
    )


# --- where points are read, and what they are answered ----------------------------


def _read_at(table: Table) -> Iterator[tuple[str, ReadAt]]:
    for point, told in table.data.items():
        if not isinstance(told, dict):
            yield point, ReadAt(_nets(table, point))
            continue
        own = table.table(point)
        yield point, ReadAt(_nets(own, "at"), own.text("condition"))
        own.done()
    table.taken |= {*table.data}


def _nets(table: Table, key: str) -> tuple[str, ...]:
    """One net, two, or none."""
    if isinstance(table.data.get(key), str):
        return (table.text(key),)
    return table.two_texts(key) or ()


def _answers(
    table: Table, checks: Mapping[str, Check]
) -> Iterator[tuple[str, tuple[Answer, ...]]]:
    for point in table.data:
        check = checks.get(point.partition("/")[0])
        if check is None:
            table.refuse("unknown_reference", point, to=point)
        among = frozenset({*check.categories, *check.patterns})
        rules = [
            Table(data, (*table.path, point, number), table.source)
            for number, data in enumerate(table.items_of(point))
        ]
        if not rules:
            table.refuse("wrong_type", point, wanted="list of answers")
        yield point, tuple(_answer(rule, among) for rule in rules)


def _answer(table: Table, among: frozenset[str]) -> Answer:
    share = table.optional_number("share")
    made = Answer(
        table.choice("answer", among),
        up=table.texts("up"),
        low=table.texts("low"),
        retries=table.texts("retries"),
        at_limit=table.flag("at_limit"),
        share=1.0 if share is None else share,
    )
    table.done()
    return made


def _changes(ways: Table, way: str, bands: Mapping[str, Span]) -> Iterator[Change]:
    for number, data in enumerate(ways.items_of(way)):
        yield _change(Table(data, (*ways.path, way, number), ways.source), bands)


def _change(table: Table, bands: Mapping[str, Span]) -> Change:
    kinds = [kind for kind in CHANGES if table.has(kind)]
    if len(kinds) != 1:
        table.refuse("unknown_value", among=" ".join(CHANGES), value=" ".join(kinds))
    kind = kinds[0]
    at, other = _ends(table, kind) if kind == "bridge" else (table.text(kind), "")
    takes_ohms = kind == "leak" or (kind == "short" and table.has("ohms"))
    by_band = bands.get(at) if kind == "short" else None
    ohms = _ohms(table) if takes_ohms else by_band
    chance = _chance(table) if kind in BY_CHANCE else 1.0
    table.done()
    return Change(kind, at, other, ohms, chance)


def _ohms(table: Table) -> Span:
    """They are drawn on their logarithm, so none may be nought."""
    low, high = table.pair("ohms")
    if low <= 0:
        table.refuse("wrong_type", "ohms", wanted="two numbers above 0")
    return low, high


def _chance(table: Table) -> float:
    chance = table.optional_number("chance")
    if chance is not None and not 0 < chance <= 1:
        table.refuse("wrong_type", "chance", wanted="share from 0 to 1")
    return 1.0 if chance is None else chance


def _hold_together(circuit: Circuit, table: Table) -> None:
    """Refuse a change or a feed that names what is not there."""
    nets = {*circuit.nets, GROUND}
    elements = {one.id for one in circuit.links}
    elements |= {one.id for one in circuit.junctions}
    feeds = {one.id for one in circuit.feeds}
    among = {
        **dict.fromkeys(("short", "leak", "bridge"), nets),
        **dict.fromkeys(("dead", "low", "weak"), feeds),
        "worn": feeds | {one.id for one in circuit.links},
        "open": elements | {one.pull_up for one in circuit.feeds},
    }

    def known(names: Iterable[str], among: set[str], path: Path) -> None:
        for name in filter(None, names):
            if name not in among:
                table.source.refuse("unknown_reference", path, to=name)

    for (part, way), changes in circuit.faults.items():
        path = (*table.path, "faults", part, way)
        for change in changes:
            known((change.at, change.other), among[change.kind], path)
    for feed in circuit.feeds:
        path = (*table.path, "feeds", feed.id)
        known((feed.supply, feed.middle, feed.gate), nets, path)
        known((*feed.waits, *feed.full_after, *feed.least), nets, path)
        known((feed.first, feed.second), elements, path)
        known((*feed.inductors, *feed.high_sides), elements, path)
    for point, told in circuit.read_at.items():
        known(told.nets, nets, (*table.path, "read_at", point))
    for point, rules in circuit.answers.items():
        for number, rule in enumerate(rules):
            path = (*table.path, "answers", point, number)
            known((*rule.up, *rule.low), nets, path)
            known(rule.retries, feeds | {"any"}, path)
