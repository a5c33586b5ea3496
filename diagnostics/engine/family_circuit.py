"""The circuit of a family, read from its document. PURE.

Grammar of the section ``[circuit]``, which a family may leave out:

[circuit.loads]      net = { ohms = [low, high], drop = [...], amps = [...] }
                     what hangs from the net to ground; drop of its junction at 1 mA,
                     amperes that it takes from the board's supply while it is up
[circuit.links]      id = { between = [net, net], ohms = [low, high] }
[circuit.junctions]  id = { from = net, to = net, drop = [low, high] }
[circuit.feeds.x]    what makes a net's volts, in the order in which they come up:
                     kind, to, from, and what engine/circuit/parts.py says of Feed
[circuit.faults."p.x"]  way of failing = [changes]; a change is one of
                     { short = net }, { leak = net, ohms = [low, high] },
                     { bridge = [net, net] }, { open = link or junction },
                     { dead = feed }, { low = feed }, { weak = feed }, { worn = feed },
                     the first two, dead and low with chance = share of the boards
                     on which it happens; a short may state its ohms

"ground" is the one net that needs no rail or signal; nets that are neither are the
circuit's own.
"""

from collections.abc import Iterable, Iterator

from diagnostics.engine.circuit.parts import (
    GROUND,
    NO_FAULT,
    Change,
    Circuit,
    Fault,
    Feed,
    Junction,
    Link,
    Load,
    Span,
)
from diagnostics.engine.family import Part
from diagnostics.engine.family_file import Path, Table

KINDS = frozenset("source linear buck path switch through line contact".split())
BY_CHANCE = frozenset({"short", "leak", "dead", "low"})
CHANGES = ("short", "leak", "bridge", "open", "dead", "low", "weak", "worn")


def read_circuit(table: Table, parts: dict[str, Part]) -> Circuit:
    """Raises ``FamilyError`` as every reading of a family does."""
    circuit = Circuit(
        loads=tuple(_load(net, one) for net, one in table.table("loads").tables()),
        links=tuple(_link(id_, one) for id_, one in table.table("links").tables()),
        junctions=tuple(
            _junction(id_, one) for id_, one in table.table("junctions").tables()
        ),
        feeds=tuple(_feed(id_, one) for id_, one in table.table("feeds").tables()),
        faults={NO_FAULT: (), **dict(_faults(table.table("faults"), parts))},
    )
    table.done()
    _hold_together(circuit, table)
    return circuit


def _load(net: str, table: Table) -> Load:
    made = Load(
        net,
        ohms=_ohms(table),
        drop=table.pair("drop") if table.has("drop") else None,
        amps=table.pair("amps") if table.has("amps") else None,
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


def _feed(id_: str, table: Table) -> Feed:
    least = table.table("least") if table.has("least") else None
    made = Feed(
        id_,
        kind=table.choice("kind", KINDS),
        to=table.text("to"),
        supply=table.text("from", ""),
        volts=table.optional_number("volts"),
        first_volts=table.optional_number("first_volts") or 0.0,
        amps=table.optional_number("amps") or 0.0,
        headroom=table.optional_number("headroom") or 0.0,
        above=table.optional_number("above") or 0.0,
        spread=table.number("spread") if table.has("spread") else 0.012,
        waits=table.texts("waits"),
        full_after=table.texts("full_after"),
        least={net: least.number(net) for net in least.data} if least else {},
        states=table.text("states", ""),
        middle=table.text("middle", ""),
        gate=table.text("gate", ""),
        first=table.text("first", ""),
        second=table.text("second", ""),
        phases=table.texts("phases"),
        inductors=table.texts("inductors"),
        high_sides=table.texts("high_sides"),
        pull_up=table.text("pull_up", ""),
    )
    table.done()
    return made


def _faults(
    table: Table, parts: dict[str, Part]
) -> Iterator[tuple[Fault, tuple[Change, ...]]]:
    for part_id, ways in table.tables():
        if part_id not in parts:
            table.refuse("unknown_reference", part_id, to=part_id)
        known = {mode.id for mode in parts[part_id].modes}
        for way in ways.data:
            if way not in known:
                ways.refuse("unknown_reference", way, to=way)
            yield (part_id, way), tuple(_changes(ways, way))
        ways.done()


def _changes(ways: Table, way: str) -> Iterator[Change]:
    for number, data in enumerate(ways.items_of(way)):
        yield _change(Table(data, (*ways.path, way, number), ways.source))


def _change(table: Table) -> Change:
    kinds = [kind for kind in CHANGES if table.has(kind)]
    if len(kinds) != 1:
        table.refuse("unknown_value", among=" ".join(CHANGES), value=" ".join(kinds))
    kind = kinds[0]
    at, other = _ends(table, kind) if kind == "bridge" else (table.text(kind), "")
    takes_ohms = kind == "leak" or (kind == "short" and table.has("ohms"))
    ohms = _ohms(table) if takes_ohms else None
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
        **dict.fromkeys(("dead", "low", "weak", "worn"), feeds),
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
