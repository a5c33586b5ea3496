"""Lines that are no supplies: driven, pulled up, or a contact to ground. PURE."""

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Feed
from diagnostics.engine.circuit.state import PRESSED, State

ASKS_AT = 0.1  # what a line that asks by being low shows (judgement)
HELD_LOW = 0.03  # what an open-drain line that is pulled low shows (judgement)
# Share of its lift that a leaky gate keeps (judgement).
WEAK_LIFT: tuple[float, float] = (0.1, 0.6)


def line(board: State, feed: Feed) -> None:
    """A signal: driven, or pulled up to its supply and held low till all is good."""
    is_cut = bool(feed.first) and board.has("open", feed.first)
    on = board.waited(feed) * (0.0 if is_cut else 1.0)
    level = board.own(feed) if feed.volts else board.volts[feed.supply] + feed.above
    powered = (board.volts[feed.supply] > 1) if feed.supply else on > 0
    volts = level * on
    blur = board.partly(on, float(level.max(initial=0.0))) + 0.005 * np.abs(volts)
    there = on if feed.above or not feed.supply else on * board.there[feed.supply]
    if feed.above:
        volts, blur = _above(board, feed, on)
    if feed.is_low:
        volts = np.where(on > 0, ASKS_AT, board.volts[feed.supply])
        blur = np.where(on > 0, HELD_LOW, board.blur[feed.supply])
    if feed.pull_up:
        volts = np.where((on == 0) & powered, HELD_LOW, volts)
        blur = np.where(on == 0, 0.03, blur)
        if board.has("open", feed.pull_up):
            volts = np.where(powered, HELD_LOW + 0.4 * board.coins["leaked"], 0.0)
            blur, there = np.full_like(volts, 0.12), board.nought
    if is_cut and feed.first_volts:
        alive = board.waited(feed)
        volts, blur = feed.first_volts * alive, np.full_like(volts, 1.0)
    if board.has("dead", feed.id):
        blur = np.maximum(blur, 0.03 if feed.supply and not feed.volts else 0.1)
    board.put(feed.to, volts, there, blur)


def _above(board: State, feed: Feed, on: Floats) -> tuple[Floats, Floats]:
    """A gate driven above its source; it falls back where the path latched off."""
    source, spread = board.volts[feed.supply], board.blur[feed.supply]
    trips, latched = board.trips, board.latched
    is_driven = (on > 0) & (latched == 0)
    lift = np.where(trips > 0, feed.above * board.pulse, feed.above)
    if board.has("weak", feed.id):
        low, high = WEAK_LIFT
        lift = lift * (low + (high - low) * board.coins["lost"])
    volts = source + np.where(is_driven, lift, 0.0)
    seeps = board.seeps * (on == 0)
    return volts, 0.12 + 3 * spread * is_driven + 1.0 * (trips > latched) + seeps


def contact(board: State, feed: Feed) -> None:
    """A switch to ground on a line that is pulled up."""
    is_cut = board.has("open", feed.first) or board.has("dead", feed.id)
    rest = board.volts[feed.supply]
    if is_cut:
        rest = np.where(rest > 1, 0.05 + 0.6 * board.coins["leaked"], 0.0)
    blur = np.full_like(rest, 0.25) if is_cut else board.blur[feed.supply]
    worn = board.has("worn", feed.id)
    volts = rest
    if board.condition == PRESSED:
        volts = rest * (0.3 + 0.65 * board.coins["lost"]) if worn else rest * 0 + 0.007
        blur = np.full_like(rest, 0.5 if worn else 0.01)
    works = 0.0 if worn or is_cut else 1.0
    board.put(feed.to, volts, board.there[feed.supply] * works, blur)
