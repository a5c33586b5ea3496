"""What one fault does to the rails of a board, from the rail tree alone. PURE.

A fault hits some rails or signals; the rest follows from ``needs`` and
``starts_after``: what is not fed or not turned on is gone, a rail behind a switch
or link shares a low or high supply. Cold, a fault shows at its own rails, across
what it joins or opens, and at a rail joined by a bead. Nothing here is a table of
symptoms; a circuit on virtual boards will take this module's place.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from diagnostics.engine.boards import Board
from diagnostics.engine.family import PartMode, Rail, Signal

SAME_VOLTAGE = 0.1


@dataclass(frozen=True)
class Fault:
    """One concrete fault: an effect on rails or signals, a bridge, an opened pair."""

    effect: str = "none"
    rails: frozenset[str] = frozenset()
    bridge: tuple[str, str] | None = None
    opens: tuple[str, str] | None = None


NO_FAULT = Fault()


def faults_of(board: Board, mode: PartMode) -> list[Fault]:
    """The faults that a way of failing may be on this board, equally likely."""
    return [fault for fault in _all_of(mode) if _is_possible(board, fault)]


def _all_of(mode: PartMode) -> list[Fault]:
    if mode.between:
        return [Fault(mode.effect, bridge=pair) for pair in mode.between]
    if mode.one_of:
        places = [frozenset({rail}) for rail in mode.one_of]
        return [Fault(mode.effect, place, opens=mode.opens) for place in places]
    return [Fault(mode.effect, frozenset(mode.rails), opens=mode.opens)]


def _is_possible(board: Board, fault: Fault) -> bool:
    touched = (*fault.rails, *(fault.bridge or ()), *(fault.opens or ()))
    return all(board.is_fitted(id_) for id_ in touched)


@dataclass
class Spread:
    """The state of every rail and signal of a board with one fault.

    ``cold``: ok, leaky, short, joined. ``live``: up, gone, low, high, ripple,
    weak, unsure.
    """

    board: Board
    fault: Fault
    _live: dict[str, str] = field(default_factory=dict)

    def cold(self, rail_id: str) -> str:
        """What the rail's ohms to ground show."""
        if self._is_shorted_at(rail_id):
            return self.fault.effect
        bridge = self.fault.bridge
        return "joined" if bridge and rail_id == bridge[0] else "ok"

    def across(self, pair: tuple[str, str]) -> str:
        """Joined by a bridge or a whole part; open where the part is open."""
        if self.fault.opens == pair:
            return "open"
        return "joined" if self.fault.bridge == pair else "apart"

    def live(self, node_id: str) -> str:
        """The volts of a rail, or whether a signal is there."""
        if node_id not in self._live:
            self._live[node_id] = self._settle(node_id)
        return self._live[node_id]

    # --- following the tree

    def _settle(self, node_id: str) -> str:
        if not self.board.is_fitted(node_id):
            return "up"
        node = self._node(node_id)
        own = self._own(node_id)
        if own == "gone" or self._is_starved(node):
            return "gone"
        if own:
            return own
        if self._feeds_a_short(node_id):
            return "unsure"
        return self._from_supply(node)

    def _own(self, node_id: str) -> str:
        """What the fault itself makes of the node, or ""."""
        bridge = self.fault.bridge or ("", "")
        if node_id in bridge:
            return "high" if node_id == bridge[1] else "unsure"
        if node_id in self.fault.rails or self._is_shorted_at(node_id):
            return _LIVE_OF[self.fault.effect]
        return ""

    def _is_shorted_at(self, node_id: str) -> bool:
        """A path to ground shows at its own rail and through a bead or link."""
        if self.fault.effect not in {"short", "leaky"}:
            return False
        return not self.fault.rails.isdisjoint(self._linked(node_id))

    def _is_starved(self, node: Rail | Signal) -> bool:
        feeds = (*node.needs, *node.starts_after)
        return any(self.live(feed) == "gone" for feed in feeds)

    def _feeds_a_short(self, node_id: str) -> bool:
        """A switch or MOSFET away from a shorted rail: it may sag or hold."""
        if self.fault.effect != "short" or node_id not in self.board.rails:
            return False
        return any(
            node_id in self.board.rail(hit).needs and self._is_same(hit, node_id)
            for hit in self.fault.rails
            if hit in self.board.rails
        )

    def _from_supply(self, node: Rail | Signal) -> str:
        for need in node.needs:
            state = self.live(need)
            if state in {"low", "high"} and self._is_same(node.id, need):
                return state
        return "up"

    def _is_same(self, one: str, other: str) -> bool:
        """Nearly the same voltage: a switch or link, not a converter."""
        rails = self.board.rails
        if one not in rails or other not in rails:
            return False
        volts, supply = rails[one].nominal, rails[other].nominal
        if volts is None or supply is None:
            return False
        return abs(volts - supply) <= SAME_VOLTAGE * supply

    def _node(self, node_id: str) -> Rail | Signal:
        return self.board.rails.get(node_id) or self.board.signals[node_id]

    def _linked(self, node_id: str) -> Iterator[str]:
        """The node and the rails that a bead or link makes one with it."""
        yield node_id
        rails = self.board.rails
        for rail in rails.values():
            if rail.is_linked and rail.needs[0] == node_id:
                yield rail.id
        if node_id in rails and rails[node_id].is_linked:
            yield rails[node_id].needs[0]


_LIVE_OF = {
    "gone": "gone",
    "short": "gone",
    "leaky": "weak",
    "low": "low",
    "high": "high",
    "ripple": "ripple",
}
