"""The circuit of one board: its family's, without what isn't fitted. PURE."""

from dataclasses import replace

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.parts import (
    NO_FAULT,
    Answer,
    Circuit,
    Fault,
    Feed,
    split,
)
from diagnostics.engine.family import PartMode


def whole_circuit(board: Board) -> Circuit:
    """The family's circuit; raises ``ValueError`` for a family without one."""
    if board.family.circuit is None:
        raise ValueError("the family has no circuit")
    return board.family.circuit


def circuit_of(board: Board) -> Circuit:
    """Nothing waits for, hangs on or feeds a rail or line that isn't there."""
    circuit = whole_circuit(board)
    gone = {net for net in circuit.nets if not board.is_fitted(net)}
    gone |= {net for feed in circuit.feeds if feed.to in gone for net in feed.phases}
    if not gone:
        return circuit
    return replace(
        circuit,
        loads=tuple(one for one in circuit.loads if one.net not in gone),
        links=tuple(one for one in circuit.links if gone.isdisjoint(one.ends)),
        junctions=tuple(
            one
            for one in circuit.junctions
            if gone.isdisjoint((one.anode, one.cathode))
        ),
        feeds=tuple(_feed(one, gone) for one in circuit.feeds if one.to not in gone),
        faults={
            fault: tuple(one for one in changes if gone.isdisjoint((one.at, one.other)))
            for fault, changes in circuit.faults.items()
        },
        answers={
            key: tuple(_answer(rule, gone) for rule in rules)
            for key, rules in circuit.answers.items()
        },
    )


def _feed(feed: Feed, gone: set[str]) -> Feed:
    return replace(
        feed,
        waits=tuple(net for net in feed.waits if net not in gone),
        full_after=tuple(net for net in feed.full_after if net not in gone),
        least={net: volts for net, volts in feed.least.items() if net not in gone},
    )


def _answer(rule: Answer, gone: set[str]) -> Answer:
    return replace(rule, up=tuple(net for net in rule.up if net not in gone))


def faults_of(board: Board, circuit: Circuit) -> tuple[Fault, ...]:
    """No fault, and every way of failing of a part that is fitted, where it may be."""
    return tuple(
        fault
        for fault in circuit.faults
        if fault == NO_FAULT or _may_fail(board, fault)
    )


def _may_fail(board: Board, fault: Fault) -> bool:
    part_id, mode_id, place = split(fault)
    part = board.parts[part_id]
    mode = next(mode for mode in part.modes if mode.id == mode_id)
    return board.is_fitted(part_id) and _is_there(board, mode, place)


def _is_there(board: Board, mode: PartMode, place: str) -> bool:
    """A bridge needs both of its ends; others one of the nets that they touch."""
    if mode.between:
        return any(
            all(board.is_fitted(net) for net in pair)
            for pair in mode.between
            if not place or place in pair
        )
    nets = [place] if place else mode.touches
    return not nets or any(board.is_fitted(net) for net in nets)
