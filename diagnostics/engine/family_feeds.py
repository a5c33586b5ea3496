"""The feeds of a family's circuit: read, and set in order. PURE."""

from collections.abc import Mapping, Sequence

from diagnostics.engine.circuit.parts import Feed
from diagnostics.engine.family import Rail
from diagnostics.engine.family_file import Table

KINDS = frozenset("source linear buck path switch through line contact".split())
OF_THE_RAIL = frozenset("source linear buck".split())
SPREAD = 0.012  # standard deviation of a regulated rail, as a share (judgement)
# A rail's limits lie over three spreads off at least: no good board is outside them.
# Limits farther than this leave room for several designs, and these use it.
SPREADS_TO_A_LIMIT, WIDE = 3.3, 0.06
SPREADS_IN_A_BAND = 2.0  # where the voltage is commanded, the usual range


def read_feed(id_: str, table: Table, rails: Mapping[str, Rail]) -> Feed:
    least = table.table("least") if table.has("least") else None
    kind, to = table.choice("kind", KINDS), table.text("to")
    volts, spread = table.optional_number("volts"), SPREAD
    rail = rails.get(to)
    if volts is None and kind in OF_THE_RAIL and rail is not None:
        volts, spread = level_of(rail)
    made = Feed(
        id_,
        kind=kind,
        to=to,
        supply=table.text("from", ""),
        volts=volts,
        first_volts=table.optional_number("first_volts") or 0.0,
        amps=table.optional_number("amps") or 0.0,
        amps_at_rest=table.optional_number("amps_at_rest") or 0.0,
        headroom=table.optional_number("headroom") or 0.0,
        body_drop=table.optional_number("body_drop") or 0.0,
        above=table.optional_number("above") or 0.0,
        spread=table.number("spread") if table.has("spread") else spread,
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
        held=table.optional_number("held") or 0.0,
        group=table.text("group", ""),
        pressed=table.text("pressed", ""),
        is_low=table.flag("is_low"),
        may_be_absent=rail is not None and rail.may_be_absent,
    )
    table.done()
    return made


def level_of(rail: Rail) -> tuple[float, float]:
    """Volts and their spread, as a share, of what makes a rail.

    The nominal volts, or the middle of the span where they lie at its edge and only
    name a class of boards; never so spread that a good board lies outside the
    rail's limits.
    """
    middle, half = (rail.low + rail.high) / 2, (rail.high - rail.low) / 2
    volts = middle if rail.nominal is None else rail.nominal
    if abs(volts - middle) > half / 2:
        volts = middle
    room = min(volts - rail.low, rail.high - volts) / abs(volts)
    if rail.is_commanded:
        return volts, room / SPREADS_IN_A_BAND
    spread = room / SPREADS_TO_A_LIMIT
    return volts, spread if room > WIDE else min(SPREAD, spread)


def in_order(feeds: Sequence[Feed]) -> tuple[Feed, ...]:
    """In the order in which they come up: each after what it hangs on.

    As they are written where nothing says otherwise. A line above its supply and a
    source that waits for its contract close loops, and come where they stand.
    """
    by_net: dict[str, list[Feed]] = {}
    for feed in feeds:
        by_net.setdefault(feed.to, []).append(feed)
    found: dict[str, Feed] = {}
    trail: set[str] = set()

    def visit(feed: Feed) -> None:
        if feed.id in found or feed.id in trail:
            return
        trail.add(feed.id)
        for net in _before(feed):
            for other in by_net.get(net, ()):
                visit(other)
        trail.discard(feed.id)
        found[feed.id] = feed

    for feed in feeds:
        visit(feed)
    return tuple(found.values())


def _before(feed: Feed) -> tuple[str, ...]:
    supply = "" if feed.above else feed.supply
    return (supply, *feed.waits, *feed.least, feed.gate)
