"""What makes the volts of supply nets: adapter, regulators, converters. PURE."""

import numpy as np

from diagnostics.engine.circuit.parts import Feed
from diagnostics.engine.circuit.state import STEADY, State

# Off is not nought: nets behind a blocked MOSFET float up by leaks (judgement).
FLOATS_UP, FLOATS_BY = 0.15, 0.4
COLLAPSED = 0.45  # a supply that reaches less of its volts gives up (judgement)


def source(board: State, feed: Feed) -> None:
    on = board.waited(feed)
    full = np.ones(board.cloud.boards)
    for net in feed.full_after:
        full = full * (board.there[net] > 0)
    full = full * (1 - board.happens("low", feed.id))
    given = (feed.volts or 0.0) * full + feed.first_volts * (1 - full)
    open_volts = given * board.cloud.level[feed.to] * on
    here, beyond = board.shorted(feed.to), board.beyond(feed.to)
    strained = open_volts * beyond > 0.9 * feed.amps
    held = feed.amps / np.maximum(here, 1e-9)
    volts = np.where(here > 0, np.minimum(open_volts, held), open_volts)
    hiccups = strained & (volts < 6) & (board.coins["latch"] < 0.5)
    volts = np.where(hiccups, 0.1 * volts, volts)
    blur = np.where(hiccups, 0.15 + volts, np.where(strained, 1.5, STEADY))
    if board.has("weak", feed.id):
        volts = volts * (0.75 + 0.25 * board.coins["lost"])
        blur = np.full_like(volts, 1.0)
    board.strains = np.where(hiccups, 0.05, np.where(strained, 1.0, 0.0))
    board.put(feed.to, volts, (volts > 0.9 * (feed.volts or 0.0)) * 1.0, blur)


def linear(board: State, feed: Feed) -> None:
    on = board.waited(feed)
    left = board.volts[feed.supply] - feed.headroom
    volts = np.clip(np.minimum(board.own(feed), left), 0, None) * (on > 0)
    is_low = (volts > 0.1) & (volts < 0.95 * board.own(feed))
    siemens = board.shorted(feed.to)
    short = feed.amps / np.maximum(siemens, 1e-9)
    over = (siemens > 0) & (volts * siemens > feed.amps)
    volts = np.where(over, np.minimum(volts, short), volts)
    part = (on > 0) & (on < 1)
    nominal = feed.volts or 0.0
    blur = np.where(part, 0.6 * nominal, np.where(is_low | over, 0.08, STEADY))
    volts = np.where(part, volts * on, volts)
    there = on * (volts > 0.9 * nominal) + (on * part) * (volts <= 0.9 * nominal)
    board.put(feed.to, volts, there, blur)


def path(board: State, feed: Feed) -> None:
    """Two MOSFETs back to back, their gates on one driver."""
    supply, coins = board.volts[feed.supply], board.coins
    is_shorted = board.bridge(feed.middle) == feed.supply
    drive = board.there[feed.gate]
    middle = np.ones_like(supply) if is_shorted else drive.copy()
    if board.has("open", feed.first):
        middle = board.nought
    behind = middle * (0.0 if board.has("open", feed.second) else 1.0)
    siemens = board.beyond(feed.to)
    limit = board.source.amps
    held = np.minimum(supply, limit / np.maximum(siemens, 1e-9))
    volts = np.where(siemens > 0, held, supply) * behind
    trips = (behind > 0) & (supply > 1) & (volts < COLLAPSED * supply)
    is_weak = any(one.kind == "weak" for one in board.changes)
    if is_weak:
        trips = (behind > 0) & (supply > 1)
    latched = trips & (coins["latch"] < 0.5) & (not is_weak)
    share = 0.1 + 0.5 * coins["pulse"] if is_weak else 0.15 * board.pulse
    volts = np.where(trips, np.where(latched, 0.0, supply * share), volts)
    there = np.where(trips, np.where(latched, 0.0, 0.3 * share), behind * (volts > 6))
    seeps = 0.05 + board.seeps
    blur = np.where(trips, 0.4 + 0.5 * volts, np.where(behind > 0, 0.02, seeps))
    board.put(feed.to, volts, there, blur)
    low = (FLOATS_UP + FLOATS_BY * coins["leaked"]) * (supply > 1)
    is_on = (middle > 0) & ~latched
    at_middle = np.where(is_on, np.where(trips, volts + 0.3, supply), low)
    spread = np.where(is_on & ~trips, 0.02, np.where(latched, 0.1, 0.3))
    if board.has("open", feed.first):
        at_middle = board.nought
    if board.has("open", feed.second):
        at_middle = supply * middle * (1 - 0.1 * coins["leaked"])
        spread = np.full_like(supply, 0.8)
    board.put(feed.middle, at_middle, middle, spread)
    board.trips, board.latched = trips * 1.0, latched * 1.0


def through(board: State, feed: Feed) -> None:
    """A link passes the volts on; behind it a short divides them."""
    whole = board.passes(feed)
    behind = board.link_ohms(feed.first) * board.shorted(feed.to)
    volts = board.volts[feed.supply] * whole / (1 + behind)
    there = board.there[feed.supply] * whole * (behind < 0.1)
    blur = board.blur[feed.supply] * whole + np.where(behind > 0.02, 0.25, STEADY)
    if not whole and board.bridge(feed.to) == "":
        blur = 0.05 + board.seeps
    board.put(feed.to, volts, there, blur)


def buck(board: State, feed: Feed) -> None:
    nominal, coins = feed.volts or 0.0, board.coins
    on = board.waited(feed)
    opened = [one for one in feed.high_sides if board.has("open", one)]
    there = on * (0.0 if opened and len(opened) == len(feed.high_sides) else 1.0)
    volts = board.own(feed) * there
    blur = board.partly(there, nominal)
    siemens = board.beyond(feed.to) + sum(
        (board.shorted(phase) for phase in feed.phases), board.nought
    )
    trips = (siemens > 0) & (nominal * siemens > feed.amps) & (there > 0)
    volts = np.where(trips, nominal * 0.05 * board.pulse, volts)
    blur = np.where(trips, 0.03, blur)
    there = np.where(trips, 0.0, there)
    phases = [volts * (1.0 if len(opened) == 0 else 1.012)] * len(feed.phases)
    spread = blur
    if opened and len(opened) < len(feed.high_sides):
        sags = (coins["spare"] >= 0.4) & (coins["spare"] < 0.75)
        runs = coins["spare"] < 0.4
        volts = np.where(
            runs, volts, volts * np.where(sags, 0.3 + 0.6 * coins["lost"], 0.01)
        )
        there = np.where(runs, there, 0.0)
        blur = spread = np.where(sags, 0.1, blur)
        phases = [
            volts * (0.997 if side in opened else 1.012) for side in feed.high_sides
        ]
    elif feed.inductors and all(board.has("open", one) for one in feed.inductors):
        phases = [np.where(on > 0, nominal * (0.05 + 0.7 * coins["pulse"]), 0.0)] * len(
            feed.phases
        )
        spread = np.where(on > 0, 0.25 * nominal, STEADY)
        volts, there, blur = board.nought, board.nought, board.nought + STEADY
    if any(board.bridge(phase) == feed.supply for phase in feed.phases):
        volts = board.volts[feed.supply]
        phases = [volts] * len(feed.phases)
        there = board.nought
        blur = spread = np.where(volts > 6, 0.3, board.blur[feed.supply])
    board.put(feed.to, volts, there, blur)
    for net, at_phase in zip(feed.phases, phases, strict=True):
        board.put(net, at_phase, there, spread)


def switch(board: State, feed: Feed) -> None:
    on = board.waited(feed) * board.there[feed.supply]
    share = (feed.volts or 1.0) * board.cloud.level[feed.to]
    volts = board.volts[feed.supply] * share * on
    siemens = board.shorted(feed.to)
    volts = np.where(siemens > 0.2, volts * 0.05 * board.pulse, volts)
    there = np.where(siemens > 0.2, 0.0, on)
    blur = board.partly(on, float(volts.max(initial=0.0)))
    if board.has("dead", feed.id):
        blur = np.full_like(volts, 0.05)
    board.put(feed.to, volts, there, blur)
