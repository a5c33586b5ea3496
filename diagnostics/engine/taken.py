"""How a reading was taken, and whether it then says anything at all. PURE.

Probes the other way round, leads of unknown ohms, an adapter still in the board, a
supply at its limit: such a reading is held against nothing, and is unclear with
what would settle it. Source: domain brief, section 13.
"""

from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.yardsticks import (
    NO_VOLTS,
    Observed,
    Settle,
    Verdict,
    Word,
    Yardstick,
)

LEADS_MATTER_BELOW_OHMS = 2.0
# Read cold, a board must have neither in it: both lie across its rails.
ALWAYS_OUT = ("adapter", "pack")
COLD_MODES = frozenset("RDC")
RED_ON_POINT = "red_on_point"
RED_ON_GROUND = "red_on_ground"


def unclear(
    *reasons: Reason, settle: tuple[Settle, ...], p: float | None = None
) -> Verdict:
    return Verdict(Word.UNCLEAR, p, reasons, tuple(one.value for one in settle))


def incomparable(observed: Observed, yardstick: Yardstick) -> Verdict | None:
    """Unclear where the reading can't be held against its yardstick, else ``None``."""
    if observed.mode == "I":
        return _without_supply(observed)
    return (
        _with_more_fitted(observed, yardstick)
        or _rightly_off(observed, yardstick)
        or _turned(observed, yardstick)
        or _within_the_leads(observed, yardstick)
    )


def _without_supply(observed: Observed) -> Verdict | None:
    """A current says something of the board only while the supply gave its volts.

    0 A is as well a supply that is off (a pack's own current has no supply); a
    supply at its limit shows the limit.
    """
    supply, amps = observed.supply, observed.value
    if supply.is_off:
        why = reason("supply_off", volts=supply.actual_volts)
        return unclear(why, settle=(Settle.SUPPLY_ON,))
    if supply.is_folded_back:
        why = reason(
            "supply_at_limit", volts=supply.actual_volts, set_volts=supply.set_volts
        )
        return unclear(why, settle=(Settle.TAP_AT_LIMIT,))
    is_nothing = amps is not None and abs(amps) <= observed.half_width
    if is_nothing and supply.actual_volts is None and "pack" not in observed.fitted:
        return unclear(reason("no_current"), settle=(Settle.SUPPLY_ON,))
    return None


def _with_more_fitted(observed: Observed, yardstick: Yardstick) -> Verdict | None:
    """Something lies across the rails though the board is read cold."""
    if observed.mode not in COLD_MODES:
        return None
    for one in (*ALWAYS_OUT, *yardstick.without):
        if one in observed.fitted:
            why = reason("taken_with", fitted=one)
            return unclear(why, settle=(Settle.TAKE_OUT,))
    return None


def _rightly_off(observed: Observed, yardstick: Yardstick) -> Verdict | None:
    """Volts where there need be none: what commands them is out, or it isn't there."""
    for one in yardstick.only_with:
        if one not in observed.fitted:
            why = reason("taken_without", fitted=one)
            return unclear(why, settle=(Settle.PUT_IN,))
    volts = observed.value
    if yardstick.may_be_absent and volts is not None and abs(volts) <= NO_VOLTS:
        settle = (Settle.MARK_NOT_FITTED, Settle.TOUCH_AGAIN)
        return unclear(reason("may_be_absent"), settle=settle)
    return None


def _turned(observed: Observed, yardstick: Yardstick) -> Verdict | None:
    """Diode mode, and whatever has a polarity: like only with like."""
    expected = yardstick.polarity or (RED_ON_GROUND if observed.mode == "D" else "")
    if not expected or expected == (observed.polarity or RED_ON_POINT):
        return None
    return unclear(reason("other_polarity"), settle=(Settle.SWAP_PROBES,))


def _within_the_leads(observed: Observed, yardstick: Yardstick) -> Verdict | None:
    """Ohms that the leads alone may make."""
    if observed.value is None or not observed.has_leads or yardstick.is_of_leads:
        return None
    if observed.lead_ohms is None:
        if observed.value >= LEADS_MATTER_BELOW_OHMS:
            return None
        why = reason("leads_not_known", ohms=observed.value)
        return unclear(why, settle=(Settle.MEASURE_LEADS, Settle.FOUR_WIRE))
    if yardstick.has_low and observed.net < 2 * observed.lead_spread:
        why = reason("under_lead_spread", ohms=observed.net, leads=observed.lead_ohms)
        return unclear(why, settle=(Settle.FOUR_WIRE,))
    return None
