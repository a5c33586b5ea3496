"""What makes the volts of supply nets: sources, regulators, switches. PURE.

Converters are in ``converters``.
"""

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Feed
from diagnostics.engine.circuit.state import STEADY, State

# Off is not nought: nets behind a blocked MOSFET float up by leaks (judgement).
FLOATS_UP, FLOATS_BY = 0.15, 0.4
COLLAPSED = 0.45  # a supply that reaches less of its volts gives up (judgement)
GIVES_UP_BELOW = 0.3  # of its volts, a source that hiccups (judgement)
ABSENT = 0.5  # share of boards without what may be absent (judgement)
# A load switch that passes this many siemens to ground lets go (judgement: 5 ohms
# is where the trade calls a switched rail shorted), and reads its mean while it
# tries again.
SWITCH_SIEMENS, TRYING = 0.2, 0.05
# Volts of a path whose MOSFET is driven by half, as a share (judgement).
HALF_DRIVEN: tuple[float, float] = (0.55, 0.9)
WEAK_BLUR = 0.05  # of its volts: how a weak source moves about (judgement)


def source(board: State, feed: Feed) -> None:
    """What comes from outside, held at its limit; it may hiccup there.

    One that isn't used in this state leaves its net to others.
    """
    if not feed.is_used_in(board.condition):
        return
    open_volts = _open_volts(board, feed)
    limit, beyond = board.limit(feed), board.beyond(feed.to)
    here = np.where(board.pinned > 0, beyond, board.near(feed.to))
    strained = open_volts * beyond > 0.9 * limit
    held = limit / np.maximum(here, 1e-9)
    volts = np.where(here > 0, np.minimum(open_volts, held), open_volts)
    is_low = volts < GIVES_UP_BELOW * (feed.volts or 0.0)
    hiccups = strained & is_low & board.gives_up(feed)
    volts = np.where(hiccups, 0.1 * volts, volts)
    blur = np.where(hiccups, 0.15 + volts, np.where(strained, 1.5, STEADY))
    if board.has("weak", feed.id):
        volts = volts * (0.75 + 0.25 * board.coins["lost"])
        blur = np.full_like(volts, WEAK_BLUR * (feed.volts or 0.0))
    volts = _shut_down(board, feed, volts, strained)
    board.strains[feed.to] = strained & ~hiccups
    board.hiccups[feed.to] = board.retries[feed.id] = hiccups * 1.0
    there = np.abs(volts) > 0.9 * abs(feed.volts or 0.0)
    board.put(feed.to, volts, there * 1.0, blur)


def _open_volts(board: State, feed: Feed) -> Floats:
    full = np.ones(board.cloud.boards)
    for net in feed.full_after:
        full = full * (board.there[net] > 0)
    full = full * (1 - board.happens("low", feed.id))
    given = (feed.volts or 0.0) * full + feed.first_volts * (1 - full)
    made: Floats = given * board.cloud.level[feed.to] * board.waited(feed)
    if feed.may_be_absent:
        made = made * (board.coins["absent"] >= ABSENT)
    return made


def _shut_down(board: State, feed: Feed, volts: Floats, strained: Floats) -> Floats:
    """All of a group are off while one of them is overloaded."""
    if not feed.group:
        return volts
    among = board.overloads.setdefault(feed.group, {})
    among[feed.id] = strained
    made: Floats = np.where(np.any([*among.values()], axis=0), 0.0, volts)
    return made


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
    """Two MOSFETs back to back, their gates on one driver.

    Into an overload it lets go and stays off, tries again, or is held at the limit
    of its source (``pinned``), which then collapses with it.
    """
    if not feed.is_used_in(board.condition):
        return
    supply, coins = board.volts[feed.supply], board.coins
    source_feed = board.sources[feed.supply]
    middle, behind = _driven(board, feed)
    siemens = board.beyond(feed.to)
    held = np.minimum(supply, board.limit(source_feed) / np.maximum(siemens, 1e-9))
    volts: Floats = np.where(siemens > 0, held, supply) * behind
    trips = (behind > 0) & (supply > 1) & (volts < COLLAPSED * supply)
    trips = trips | ((board.pinned > 0) & (behind > 0))
    is_weak = board.has("weak", source_feed.id)
    if is_weak:
        trips = (behind > 0) & (supply > 1)
    pinned = trips & (coins["latch"] >= 1 - feed.held) & (not is_weak)
    latched = trips & board.gives_up(feed) & (not is_weak)
    board.pinned = pinned * 1.0
    trips = trips & ~pinned
    share = 0.1 + 0.5 * coins["pulse"] if is_weak else 0.15 * board.pulse
    volts = np.where(trips, np.where(latched, 0.0, supply * share), volts)
    there = np.where(trips, np.where(latched, 0.0, 0.3 * share), behind * (volts > 6))
    seeps = 0.05 + board.seeps
    blur: Floats = np.where(trips, 0.4 + 0.5 * volts, np.where(behind > 0, 0.02, seeps))
    if board.has("weak", feed.id):
        low, high = HALF_DRIVEN
        volts = volts * (low + (high - low) * coins["lost"])
        there, blur = board.nought, np.full_like(volts, 0.5)
    board.put(feed.to, volts, there, blur)
    board.trips, board.latched = trips * 1.0, latched * 1.0
    board.retries[feed.id] = (trips & ~latched) * 1.0
    _put_middle(board, feed, middle, volts)


def _driven(board: State, feed: Feed) -> tuple[Floats, Floats]:
    """How much of the time the middle and what is behind are passed through to."""
    is_shorted = board.bridge(feed.middle) == feed.supply
    drive = np.maximum(board.there[feed.gate], board.pinned)
    middle = np.ones_like(drive) if is_shorted else drive
    if board.has("open", feed.first):
        middle = board.nought
    return middle, middle * (0.0 if board.has("open", feed.second) else 1.0)


def _put_middle(board: State, feed: Feed, middle: Floats, behind: Floats) -> None:
    supply, coins = board.volts[feed.supply], board.coins
    trips, latched = board.trips > 0, board.latched > 0
    low = (FLOATS_UP + FLOATS_BY * coins["leaked"]) * (supply > 1)
    if feed.body_drop:
        low = np.maximum(supply - feed.body_drop, 0.0)
    is_on = (middle > 0) & ~latched
    volts = np.where(is_on, np.where(trips, behind + 0.3, supply), low)
    blur = np.where(is_on & ~trips, 0.02, np.where(latched, 0.1, 0.3))
    if feed.body_drop:
        volts = np.where(trips, np.maximum(low, behind), volts)
        blur = np.where(is_on & ~trips, 0.02, 0.1)
    if board.has("open", feed.first):
        volts = board.nought
    if board.has("open", feed.second):
        volts = supply * middle * (1 - 0.1 * coins["leaked"])
        blur = np.full_like(supply, 0.8)
        if feed.body_drop:
            volts, blur = np.maximum(volts, low), np.full_like(supply, 0.1)
    board.put(feed.middle, volts, middle, blur)


def through(board: State, feed: Feed) -> None:
    """A link passes the volts on; behind it a short divides them."""
    whole = board.passes(feed)
    behind = board.link_ohms(feed.first) * board.shorted(feed.to)
    left = np.maximum(board.volts[feed.supply] - feed.headroom, 0.0)
    volts = left * whole / (1 + behind)
    there = board.there[feed.supply] * whole * (behind < 0.1)
    blur = board.blur[feed.supply] * whole + np.where(behind > 0.02, 0.25, STEADY)
    if board.bridge(feed.to) == "":
        blur = np.where(whole == 0, 0.05 + board.seeps, blur)
    board.put(feed.to, volts, there, blur)


def switch(board: State, feed: Feed) -> None:
    """Passes a net on, or a fixed share of its volts."""
    on = board.waited(feed) * board.there[feed.supply]
    share = (feed.volts or 1.0) * board.cloud.level[feed.to]
    if feed.may_be_absent:
        on = on * (board.coins["absent"] >= ABSENT)
    volts = board.volts[feed.supply] * share * on
    trips = (board.shorted(feed.to) > SWITCH_SIEMENS) & (on > 0)
    volts = np.where(trips, volts * TRYING * board.pulse, volts)
    there = np.where(trips, 0.0, on)
    blur = board.partly(on, float(volts.max(initial=0.0)))
    if board.has("dead", feed.id):
        blur = np.full_like(volts, 0.05)
    board.retries[feed.id] = trips * 1.0
    board.put(feed.to, volts, there, blur)
