"""Converters with an inductor: what a buck makes, whole, torn or bridged. PURE."""

from dataclasses import dataclass, replace

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Feed
from diagnostics.engine.circuit.state import STEADY, State

# What a converter does that lost the high side of one of its phases: the others
# carry the rail on 4 boards of 10, on 3 or 4 it sags, else it gives up (judgement).
CARRIED, SAGGING = 0.4, 0.75
SAGS_TO: tuple[float, float] = (0.3, 0.9)
# The phases that carry the rail stand a little above it, by the drop in their
# inductors; the dead one hangs a little under (judgement: tens of millivolts).
CARRYING, CARRIED_ALONG = 1.012, 0.997
TRYING = 0.05  # a converter that retries reads this much of its pulses
STANDS_OVER = 6.0  # volts that no rail of a converter should have


@dataclass(frozen=True)
class Made:
    """What a converter makes: of its rail, and the volts of its phases."""

    volts: Floats
    there: Floats
    blur: Floats
    phases: tuple[Floats, ...]
    spread: Floats


def buck(board: State, feed: Feed) -> None:
    """A converter into its rail; a supply that is bridged to it decides over all."""
    opened = [side for side in feed.high_sides if board.has("open", side)]
    coils = [board.has("open", one) for one in feed.inductors]
    on = board.waited(feed)
    if any(board.bridge(net) == feed.supply for net in (feed.to, *feed.phases)):
        made = _bridged(board, feed)
    elif opened and len(opened) < len(feed.high_sides):
        made = _on_fewer(board, feed, _whole(board, feed, on))
    elif coils and all(coils):
        made = _cut_off(board, feed, on)
    else:
        made = _whole(board, feed, on * (0.0 if opened else 1.0))
    board.put(feed.to, made.volts, made.there, made.blur)
    for net, volts in zip(feed.phases, made.phases, strict=True):
        board.put(net, volts, made.there, made.spread)


def _whole(board: State, feed: Feed, there: Floats) -> Made:
    """It runs, or trips into a short and tries again."""
    nominal = feed.volts or 0.0
    siemens = board.beyond(feed.to) + sum(
        (board.shorted(phase) for phase in feed.phases), board.nought
    )
    trips = (siemens > 0) & (nominal * siemens > feed.amps) & (there > 0)
    board.retries[feed.id] = trips * 1.0
    volts = np.where(trips, nominal * TRYING * board.pulse, board.own(feed) * there)
    blur = np.where(trips, 0.03, board.partly(there, nominal))
    phases = (volts,) * len(feed.phases)
    return Made(volts, np.where(trips, 0.0, there), blur, phases, blur)


def _on_fewer(board: State, feed: Feed, whole: Made) -> Made:
    """Some of its phases have lost their high side."""
    coin = board.coins["spare"]
    runs, sags = coin < CARRIED, (coin >= CARRIED) & (coin < SAGGING)
    low, high = SAGS_TO
    left = np.where(sags, low + (high - low) * board.coins["lost"], 0.01)
    volts = np.where(runs, whole.volts, whole.volts * left)
    blur = np.where(sags, 0.1, whole.blur)
    phases = tuple(
        volts * (CARRIED_ALONG if board.has("open", side) else CARRYING)
        for side in feed.high_sides
    )
    return Made(volts, np.where(runs, whole.there, 0.0), blur, phases, blur)


def _cut_off(board: State, feed: Feed, on: Floats) -> Made:
    """Every inductor is open: the phases run by themselves, the rail has nothing."""
    nominal = feed.volts or 0.0
    phase = np.where(on > 0, nominal * (0.05 + 0.7 * board.coins["pulse"]), 0.0)
    nothing = Made(board.nought, board.nought, board.nought + STEADY, (), board.nought)
    spread = np.where(on > 0, 0.25 * nominal, STEADY)
    return replace(nothing, phases=(phase,) * len(feed.phases), spread=spread)


def _bridged(board: State, feed: Feed) -> Made:
    """The supply stands on the rail."""
    volts = board.volts[feed.supply]
    blur = np.where(volts > STANDS_OVER, 0.3, board.blur[feed.supply])
    phases = (volts,) * len(feed.phases)
    return Made(volts, board.nought, blur, phases, blur)
