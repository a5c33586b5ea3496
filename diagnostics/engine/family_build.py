"""A family's document -> a ``Family``, or a ``FamilyError`` that names the place. PURE.

Reading is strict: an unknown key is a typing slip until somebody asks for it.
``family_refs`` then holds the references to one another.
"""

from collections.abc import Iterator, Mapping

from diagnostics.engine.circuit.parts import Circuit
from diagnostics.engine.family import (
    Block,
    Check,
    Family,
    Ohms,
    Part,
    PartMode,
    Rail,
    Signal,
    Stage,
)
from diagnostics.engine.family_checks import BASES, read_check
from diagnostics.engine.family_circuit import read_circuit
from diagnostics.engine.family_file import Document, Source, Table

STATES = frozenset({"G3", "S5", "S4", "S3", "S0"})
REMOVABLE = frozenset({"coin_cell", "cpu", "modules"})
EFFECTS = frozenset(
    {"gone", "short", "leaky", "low", "high", "ripple", "bridge", "none"}
)


def build(document: Document, source: Source, content_hash: str) -> Family:
    """Read the whole document; ``content_hash`` is that of the family's texts."""
    root = Table(document, (), source)
    counts = {key: _count(table) for key, table in root.table("counts").tables()}
    parts = {k: _part(k, t) for k, t in root.table("parts").tables()}
    rails = {k: _rail(k, t) for k, t in root.table("rails").tables()}
    checks = {k: read_check(k, t, counts) for k, t in root.table("checks").tables()}
    family = Family(
        id=root.text("id"),
        name=root.text("name"),
        version=root.whole("version"),
        hash=content_hash,
        stages=_stages(root.table("stages")),
        rails=rails,
        signals={k: _signal(k, t) for k, t in root.table("signals").tables()},
        blocks={k: _block(k, t) for k, t in root.table("blocks").tables()},
        parts=parts,
        circuit=_circuit(root, parts, rails, checks),
        checks=checks,
        walks=_walks(root.table("walks"), checks),
        power_gates=_power(root.table("power")),
        not_fitted=_gaps(root.table("variants")),
        texts=source.texts,
    )
    root.texts("files")
    root.done()
    return family


def _circuit(
    root: Table,
    parts: Mapping[str, Part],
    rails: Mapping[str, Rail],
    checks: Mapping[str, Check],
) -> Circuit | None:
    if not root.has("circuit"):
        return None
    return read_circuit(root.table("circuit"), parts, rails, checks)


# --- stages, counts, walks, variants ------------------------------------------


def _stages(table: Table) -> tuple[Stage, ...]:
    order = table.texts("order", is_needed=True)
    names = table.table("names")
    stages = tuple(Stage(key, names.text(key)) for key in order)
    if len(set(order)) != len(order):
        table.refuse("duplicate_id", "order")
    names.done()
    table.done()
    return stages


def _count(table: Table) -> int:
    number, low, high = (table.whole(key) for key in ("default", "low", "high"))
    table.done()
    if not low <= number <= high:
        table.refuse(
            "count_out_of_range", "default", count=number, least=low, most=high
        )
    return number


def _walks(table: Table, checks: Mapping[str, Check]) -> dict[str, tuple[str, ...]]:
    """The walks as laid down, and in them the checks that say whom they follow."""
    walks = {stage: [*table.texts(stage)] for stage in table.data}
    for check in checks.values():
        walk = walks.get(check.stage, [])
        if check.walk_after in walk:
            walk.insert(walk.index(check.walk_after) + 1, check.id)
        elif check.walk_after:
            path = ("checks", check.id, "walk_after")
            table.source.refuse("unknown_reference", path, to=check.walk_after)
    return {stage: tuple(walk) for stage, walk in walks.items()}


def _power(table: Table) -> tuple[str, ...]:
    gates = table.texts("gates", is_needed=True)
    table.done()
    return gates


def _gaps(table: Table) -> frozenset[str]:
    """What the chosen options leave unfitted; each choice must be an option."""
    gaps: set[str] = set()
    for _id, variant in table.tables():
        chosen = variant.text("default")
        options = dict(variant.table("options").tables())
        variant.done()
        if chosen not in options:
            among = " ".join(sorted(options))
            variant.refuse("unknown_value", "default", value=chosen, among=among)
        for option in options.values():
            option.taken.add("set")
            left_out = option.texts("not_fitted")
            option.done()
            gaps |= set(left_out) if option is options[chosen] else set()
    return frozenset(gaps)


# --- rails, signals, blocks ---------------------------------------------------


def _rail(key: str, table: Table) -> Rail:
    volts = table.table("volts")
    low, high = volts.number("low"), volts.number("high")
    usual = volts.span("usual")
    if low > high:
        volts.refuse("empty_span", "low", first=low, second=high)
    rail = Rail(
        id=key,
        name=table.text("name"),
        stage=table.text("stage"),
        source_block=table.text("block"),
        needs=table.texts("needs", is_needed=True),
        starts_after=table.texts("starts_after"),
        is_linked=table.flag("is_linked"),
        enable=table.text("enable"),
        power_good=table.text("power_good"),
        up_in=_states(table),
        low=low,
        high=high,
        usual=usual,
        is_commanded=volts.flag("is_commanded"),
        nominal=volts.optional_number("nominal"),
        basis=volts.choice("basis", BASES),
        source=volts.text("source"),
        ohms=_ohms(table.table("ohms")) if table.has("ohms") else None,
        diode=table.pair("diode") if table.has("diode") else None,
        ol_is_usual=table.flag("ol_is_usual"),
        ohms_with={k: _ohms(t) for k, t in _by_fitted(table, "ohms_with")},
        diode_with=_diode_with(table),
        up_with=_removable(table, "up_with"),
        may_be_absent=table.flag("may_be_absent"),
        where=table.text("where"),
        trap=table.text("trap", ""),
        was=table.texts("was"),
    )
    volts.done()
    table.done()
    return rail


def _states(table: Table) -> tuple[str, ...]:
    states = table.texts("up_in", is_needed=True)
    for state in states:
        if state not in STATES:
            among = " ".join(sorted(STATES))
            table.refuse("unknown_value", "up_in", value=state, among=among)
    return states


def _ohms(table: Table) -> Ohms:
    ok, watch, short = (
        table.number(key) for key in ("ok_from", "watch_below", "short_below")
    )
    if not 0 < short <= watch <= ok:
        table.refuse("bands_out_of_order", "ok_from", ok=ok, watch=watch, short=short)
    ohms = Ohms(
        ok,
        watch,
        short,
        table.flag("needs_four_wire"),
        table.choice("basis", BASES),
        _removable(table, "without"),
    )
    table.done()
    return ohms


def _removable(table: Table, key: str) -> tuple[str, ...]:
    """What can be taken out of a board, as it stands in a list."""
    found = table.texts(key)
    for one in found:
        if one not in REMOVABLE:
            among = " ".join(sorted(REMOVABLE))
            table.refuse("unknown_value", key, value=one, among=among)
    return found


def _by_fitted(table: Table, key: str) -> Iterator[tuple[str, Table]]:
    """Figures that count with something in the board."""
    if table.has(key):
        yield from _only_removable(table.table(key)).tables()


def _diode_with(table: Table) -> dict[str, tuple[float, float]]:
    if not table.has("diode_with"):
        return {}
    own = _only_removable(table.table("diode_with"))
    return {what: own.pair(what) for what in own.data}


def _only_removable(table: Table) -> Table:
    for what in table.data:
        if what not in REMOVABLE:
            table.refuse("unknown_key", what)
    return table


def _signal(key: str, table: Table) -> Signal:
    signal = Signal(
        id=key,
        name=table.text("name"),
        stage=table.text("stage"),
        needs=table.texts("needs", is_needed=True),
        starts_after=table.texts("starts_after"),
        rests_at=table.optional_number("rests_at"),
        was=table.texts("was"),
    )
    table.done()
    return signal


def _block(key: str, table: Table) -> Block:
    block = Block(
        id=key,
        stage=table.text("stage"),
        makes=table.texts("makes", is_needed=True),
        needs=table.texts("needs", is_needed=True),
        is_on_top=table.flag("is_on_top"),
    )
    table.done()
    return block


# --- parts --------------------------------------------------------------------


def _part(key: str, table: Table) -> Part:
    part = Part(
        id=key,
        name=table.text("name"),
        block=table.text("block"),
        modes=tuple(_mode(mode) for mode in _listed(table, "modes")),
        minutes=table.pair("minutes"),
        cost_class=table.text("cost"),
        risk=table.text("risk"),
        repair=table.text("repair"),
        locks_disk=table.flag("locks_disk"),
        was=table.texts("was"),
    )
    table.done()
    if len({mode.id for mode in part.modes}) != len(part.modes):
        table.refuse("duplicate_id", "modes")
    return part


def _listed(table: Table, key: str) -> list[Table]:
    return [
        Table(item, (*table.path, key, number), table.source)
        for number, item in enumerate(table.items_of(key))
    ]


def _mode(table: Table) -> PartMode:
    mode = PartMode(
        id=table.text("id"),
        name=table.text("name"),
        weight=table.number("weight"),
        effect=table.choice("effect", EFFECTS),
        rails=table.texts("rails"),
        one_of=table.texts("one_of"),
        between=table.pairs("between"),
        opens=table.two_texts("opens"),
    )
    table.done()
    if mode.weight <= 0:
        table.refuse("weight_not_positive", "weight", weight=mode.weight)
    _refuse_wrong_place(mode, table)
    return mode


def _refuse_wrong_place(mode: PartMode, table: Table) -> None:
    """Each effect says where it is in one way: a bridge by pairs, others by rails."""
    said = [key for key in ("rails", "one_of", "between") if getattr(mode, key)]
    wanted = {"none": 0}.get(mode.effect, 1)
    is_bridge = mode.effect == "bridge"
    if len(said) != wanted or is_bridge != (said == ["between"]):
        table.refuse("effect_without_place", "effect", effect=mode.effect)
