"""Which gates stand: what was read at them, and whether that still holds.

A gate's reading goes stale when something was done to its rail after it, when
power was on the board since (power gone), and when a day passed without work
(main's ohms). Sources: domain brief sections 4 and 13.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from diagnostics import sayings, words
from diagnostics.bridge import (
    POWER_GONE,
    Judged,
    Known,
    check_id_of,
    settled_ohms,
)
from diagnostics.engine.family import Point
from diagnostics.engine.gates import Gates, Hold, Standing
from diagnostics.engine.reasons import Reason
from diagnostics.models import (
    GateOverride,
    Intervention,
    InterventionKind,
    Reading,
    ReadingSource,
)
from diagnostics.refusals import HeldOff
from shop.records.errors import Refused

ASKED_AGAIN = frozenset({"k06", "k08"})
A_DAY = timedelta(hours=24)
POWERS_THE_BOARD = frozenset("ABRSJ")
MOST_AMPS = 5.0
# A cable, an adapter and what lies on a drive are no net of the board.
TOUCHES_NO_NET = frozenset(
    {
        InterventionKind.SWAPPED,
        InterventionKind.ERASED,
        InterventionKind.REINSTALLED,
    }
)


def standings(known: Known, check_id: str) -> dict[str, Standing]:
    """What stands at every point, for one check that asks."""
    waived = {
        o.gate_id
        for o in known.overrides
        if o.check_id == check_id and o.epoch == known.epoch
    }
    read = read_standings(known)
    if not waived:
        return read
    standing = {
        point.id: Standing(
            word=None, settled_ohms=None, epoch_is_stale=False, limited_power=True
        )
        for gate_id in waived
        for point in known.board.check(gate_id).points
    }
    for point_id, one in read.items():
        is_waived = check_id_of(point_id) in waived
        standing[point_id] = replace(one, limited_power=is_waived)
    return standing


def read_standings(known: Known) -> dict[str, Standing]:
    """What was read at every point and whether it still stands; worked out once."""
    kept: dict[str, Standing] | None = known.worked_out.get("standings")
    if kept is None:
        kept = known.worked_out["standings"] = {
            point_id: Standing(
                word=one.verdict.word.value,
                settled_ohms=settled_ohms(one.reading),
                epoch_is_stale=is_stale(known, one),
                limited_power=False,
            )
            for point_id, one in our_newest(known).items()
        }
    return kept


def our_judged(known: Known) -> list[Judged]:
    """Our own readings, oldest first: what others told opens no gate."""
    return [o for o in known.judged if o.reading.source == ReadingSource.OURS]


def our_newest(known: Known) -> dict[str, Judged]:
    """The newest reading of our own at each point."""
    return {one.reading.point_id: one for one in our_judged(known)}


def holds(known: Known, check_id: str) -> tuple[Hold, ...]:
    return gates_for(known, check_id).holds(check_id)


def gates_for(known: Known, check_id: str) -> Gates:
    """The gates as a check meets them; one and the same where none was overruled."""
    read, met = read_standings(known), standings(known, check_id)
    if met is not read:
        return Gates(known.board, met)
    kept: Gates | None = known.worked_out.get("gates")
    if kept is None:
        kept = known.worked_out["gates"] = Gates(known.board, read)
    return kept


def is_stale(known: Known, one: Judged) -> bool:
    """Whether a reading no longer speaks of the board as it is now.

    Nothing that was read before the board went home does. Power gone is about the
    power, not about the parts: only power undoes it.
    """
    reading = one.reading
    if reading.epoch < known.back_since:
        return True
    if one.check.id == POWER_GONE:
        return was_powered_since(known, reading)
    if any(
        touches(known, done, one.point)
        for done in known.interventions
        if done.epoch > reading.epoch
    ):
        return True
    return one.check.id in ASKED_AGAIN and reading.taken_at < rest_ended(known)


def touches(known: Known, done: Intervention, point: Point) -> bool:
    """Whether an intervention may have changed what is read at a point.

    Without a part named, or of a part without a block, it may be anything.
    """
    if done.kind in TOUCHES_NO_NET:
        return False
    part = known.board.parts.get(done.part_id)
    block = known.board.blocks.get(part.block) if part else None
    if part is None or block is None:
        return True
    touched = {*block.makes, *block.needs}
    for mode in part.modes:
        touched |= set(mode.touches)
    return bool(touched & nets_of(point))


def nets_of(point: Point) -> set[str]:
    """The rails and signals whose reading this point is."""
    own = {point.rail, point.signal, *(point.pair or ())}
    return {net for net in own if net}


def was_powered_since(known: Known, reading: Reading) -> bool:
    """Whether power was read, or said to be, on the board since."""
    return any(
        later.condition in POWERS_THE_BOARD
        for later in known.readings
        if (later.taken_at, later.pk) > (reading.taken_at, reading.pk)
    ) or any(
        later.condition in POWERS_THE_BOARD
        for later in known.conditions
        if later.at > reading.taken_at
    )


def rest_ended(known: Known) -> datetime:
    """When the last rest of more than a day ended; the first work if none did."""
    moments = sorted(work_moments(known))
    ends = [later for earlier, later in pairwise(moments) if later - earlier > A_DAY]
    return ends[-1] if ends else moments[0]


def work_moments(known: Known) -> Iterator[datetime]:
    yield from (reading.taken_at for reading in known.readings)
    yield from (done.at for done in known.interventions)
    yield known.now


# --- refusals ---------------------------------------------------------------


def why(known: Known, hold: Hold) -> str:
    """Why a check is held off; the engine doesn't know all that makes stale."""
    if hold.reason.code == "gate_stale":
        if hold.gate_id == POWER_GONE:
            return _("Power was on the board since: read again that it is gone.")
        if hold.gate_id in ASKED_AGAIN and not was_touched(known, hold.gate_id):
            return _("A day has passed since %(gate)s: read it again.") % {
                "gate": check_name(known, hold.gate_id)
            }
    named = {"gate": capfirst(check_name(known, hold.gate_id))}
    return words.sentence(Reason(hold.reason.code, {**hold.reason.values, **named}))


def gates_of_power(known: Known, check_id: str) -> dict[str, str]:
    """How each gate stands that power for this check goes past: its code, by name."""
    check, met = known.board.check(check_id), gates_for(known, check_id)
    return {
        check_name(known, gate_id): met.state(gate_id).reason.code
        for gate_id in (*check.gates, *known.board.family.power_gates)
    }


def check_name(known: Known, check_id: str) -> str:
    """A check by its name, with the id by which the bench knows it."""
    name = sayings.family_text(known.board.check(check_id).name)
    return f"{name} ({check_id})"


def was_touched(known: Known, check_id: str) -> bool:
    """Whether something was done to a check's rail since it was read."""
    return any(
        touches(known, done, one.point)
        for one in our_newest(known).values()
        if one.check.id == check_id
        for done in known.interventions
        if done.epoch > one.reading.epoch
    )


def refuse_held_off(known: Known, row: Reading) -> None:
    held = holds(known, row.check_id)
    if held:
        raise HeldOff(held, why(known, held[0]))


def limit_power(known: Known, row: Reading) -> None:
    """Past a gate passed as limited power, the typed limit is the highest."""
    most = most_amps(known, row.check_id)
    if most is None:
        return
    if row.supply_limit_amps is None:
        row.supply_limit_amps = most
    elif row.supply_limit_amps > most:
        raise Refused(
            _("The gate was passed with a current limit of %(limit)s A at most.")
            % {"limit": f"{most:g}"},
            field="supply_limit_amps",
        )


def most_amps(known: Known, check_id: str) -> float | None:
    """The lowest limit with which a gate of this check was passed over, if any."""
    limits = [
        o.limit_amps
        for o in known.overrides
        if o.check_id == check_id and o.epoch == known.epoch and o.limit_amps
    ]
    return min(limits, default=None)


def refuse_overrule(
    known: Known, check_id: str, gate_id: str, chip: str, limit_amps: float | None
) -> None:
    """A gate is passed over only where it holds the check, and never a bad one."""
    if gate_id not in {hold.gate_id for hold in holds(known, check_id)}:
        raise Refused(_("This gate doesn't hold the check off."))
    if chip not in GateOverride.Chip.values:
        raise Refused(_("Say why the gate may be passed."), field="chip")
    read = {
        one.verdict.word.value
        for one in our_newest(known).values()
        if one.check.id == gate_id and not is_stale(known, one)
    }
    if "bad" in read:
        raise Refused(_("The gate's reading is bad: no power may be applied."))
    must_limit = chip == GateOverride.Chip.LIMITED_POWER or bool(read - {"good"})
    if must_limit and limit_amps is None:
        raise Refused(_("Type in the current limit that is set."), field="limit_amps")
    if limit_amps is not None and not 0 < limit_amps <= MOST_AMPS:
        raise Refused(
            _("A current limit lies between 0 and %(most)s A.") % {"most": MOST_AMPS},
            field="limit_amps",
        )
