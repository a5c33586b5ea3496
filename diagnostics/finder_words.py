"""What the circuit finder says, in the reader's words."""

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics import sayings
from diagnostics.engine.boards import Board
from diagnostics.engine.landmarks import Found, Near, near
from diagnostics.engine.landmarks_apart import Apart
from diagnostics.engine.landmarks_figures import (
    RELATIONS,
    WEIGHTS,
    Circuit,
    Landmark,
    Side,
)
from diagnostics.finder import Finding, GroupSeen
from diagnostics.models import BoardMark

CIRCUITS = {
    Circuit.CHARGE: gettext_lazy("charge circuit"),
    Circuit.STANDBY: gettext_lazy("standby 3.3 V and 5 V"),
    Circuit.MEMORY: gettext_lazy("memory"),
    Circuit.CHIPSET: gettext_lazy("chipset core"),
    Circuit.CPU: gettext_lazy("CPU"),
    Circuit.GRAPHICS: gettext_lazy("graphics"),
    Circuit.UNKNOWN: gettext_lazy("none of these"),
}
BY = {
    Landmark.JACK: gettext_lazy("by the adapter jack"),
    Landmark.PACK: gettext_lazy("by the pack connector"),
    Landmark.USB_C: gettext_lazy("by the USB-C port"),
    Landmark.CONTROLLER: gettext_lazy("by the controller"),
    Landmark.MEMORY: gettext_lazy("by the memory"),
    Landmark.CHIPSET: gettext_lazy("by the chipset"),
    Landmark.CPU: gettext_lazy("by the CPU"),
    Landmark.GRAPHICS: gettext_lazy("by the graphics chip"),
}
BEHIND = {
    Landmark.JACK: gettext_lazy("behind the adapter jack"),
    Landmark.PACK: gettext_lazy("behind the pack connector"),
    Landmark.USB_C: gettext_lazy("behind the USB-C port"),
    Landmark.CONTROLLER: gettext_lazy("behind the controller"),
    Landmark.MEMORY: gettext_lazy("behind the memory"),
    Landmark.CHIPSET: gettext_lazy("behind the chipset"),
    Landmark.CPU: gettext_lazy("behind the CPU"),
    Landmark.GRAPHICS: gettext_lazy("behind the graphics chip"),
}
ON_SIDE = {
    Side.TOP: gettext_lazy("on the top side"),
    Side.BOTTOM: gettext_lazy("on the bottom side"),
}
SHORT = {
    BoardMark.Kind.JACK: gettext_lazy("adapter jack"),
    BoardMark.Kind.PACK: gettext_lazy("pack plug"),
    BoardMark.Kind.USB_C: gettext_lazy("USB-C"),
    BoardMark.Kind.CONTROLLER: gettext_lazy("controller"),
    BoardMark.Kind.MEMORY: gettext_lazy("memory"),
    BoardMark.Kind.CHIPSET: gettext_lazy("chipset"),
    BoardMark.Kind.CPU: gettext_lazy("CPU"),
    BoardMark.Kind.GRAPHICS: gettext_lazy("graphics chip"),
    BoardMark.Kind.GROUND: gettext_lazy("ground"),
    BoardMark.Kind.COIN_CELL: gettext_lazy("coin cell"),
    BoardMark.Kind.CORNER: gettext_lazy("corner"),
}
AT_HAND = 0.25  # diagonals: farther off nothing is said to be "by" it (jd)


def percent(share: float) -> str:
    """Whole per cent; never 0 % or 100 %."""
    if share < 0.01:
        return _("under 1 %")
    return _("%(n)d %%") % {"n": min(round(100 * share), 99)}


def circuit_name(board: Board, one: GroupSeen) -> str:
    """The circuit, or the rail that was named with it."""
    if one.rail_id:
        return sayings.net_name(board, one.rail_id)
    return name_of(one.found.circuit)


def name_of(circuit: Circuit) -> str:
    return str(CIRCUITS[circuit])


def nearest(finding: Finding, one: GroupSeen) -> Near | None:
    """The landmark that speaks most for what the group is taken for, else any."""
    around = near(one.found.group, finding.landmarks)
    own = WEIGHTS.get(one.found.circuit, {})
    speaking = [around[kind] for kind in own if kind in around]
    close = [near for near in (speaking or around.values()) if near.distance <= AT_HAND]
    return min(close, key=lambda near: near.distance, default=None)


def place(finding: Finding, one: GroupSeen) -> str:
    """Where a group lies: "by the CPU", "behind the chipset", or its side."""
    found = nearest(finding, one)
    if found is None:
        return str(ON_SIDE[one.face.side])
    return str((BEHIND if found.is_behind else BY)[found.kind])


def why(finding: Finding, one: GroupSeen) -> str:
    """What the group is: how many, how large, where."""
    count = len(one.marks)
    size = BoardMark.Size(one.found.group.size).label
    alike = ngettext("One alone", "%(n)d alike", count) % {"n": count}
    parts = [alike, str(size)]
    marked = marking(one)
    if marked:
        parts.append(_("marked %(marking)s") % {"marking": marked})
    return f"{', '.join([*parts, place(finding, one)])}."


def marking(one: GroupSeen) -> str:
    marked = {mark.marking for mark in one.marks} - {""}
    return ", ".join(sorted(marked))


def next_likeliest(found: Found) -> str:
    """The runner-up, for a group that is named."""
    others = [one for one in found.best if one[0] is not found.circuit]
    if not others or others[0][1] < 0.01:
        return ""
    circuit, share = others[0]
    return _("Next: %(circuit)s, %(share)s.") % {
        "circuit": name_of(circuit),
        "share": percent(share),
    }


def two_best(found: Found) -> str:
    named = [
        _("%(circuit)s %(share)s")
        % {"circuit": name_of(circuit), "share": percent(share)}
        for circuit, share in found.best
    ]
    return _("%(first)s, or %(second)s.") % {"first": named[0], "second": named[1]}


def relation(circuit: Circuit) -> str:
    """How often the rule of thumb holds, and where it does not."""
    rule = RELATIONS.get(circuit)
    if rule is None:
        return ""
    basis = _("common practice") if rule.basis == "cp" else _("our judgement")
    return _("Holds %(often)s (%(basis)s). %(exception)s") % {
        "often": _(rule.holds),
        "basis": basis,
        "exception": _(rule.exception),
    }


def opening(finding: Finding) -> tuple[str, str]:
    """The sentence over the picture, and what comes after its full stop."""
    count = len(finding.groups)
    if not count:
        return _("No inductor is marked yet."), _(
            "Mark the landmarks that you know, then every inductor."
        )
    head = ngettext("%(n)d group found.", "%(n)d groups found.", count) % {"n": count}
    unclear = [
        one.letter
        for one in finding.groups
        if one.is_disputed or not one.found.is_named
    ]
    if not unclear:
        return head, _("All are clear enough to probe.")
    clear = count - len(unclear)
    needs = ngettext(
        "%(letters)s needs a reading.", "%(letters)s need a reading.", len(unclear)
    ) % {"letters": listed(unclear)}
    if not clear:
        return head, needs
    able = ngettext(
        "%(n)d is clear enough to probe;", "%(n)d are clear enough to probe;", clear
    ) % {"n": clear}
    return head, f"{able} {needs}"


def listed(words: Iterable[str]) -> str:
    *first, last = words
    if not first:
        return last
    return _("%(some)s and %(last)s") % {"some": ", ".join(first), "last": last}


def unclear() -> str:
    return _("unclear")


def apart(board: Board, one: Apart, *, has_check: bool) -> str:
    """Which measurement tells the two best apart, and how it is read."""
    low, high = (sayings.net_name(board, rail) or rail for rail in one.rails)
    if one.mode == "V":
        return _(
            "Ohms read alike there: volts with power on tell them apart, by when they "
            "come up (%(low)s, %(high)s)."
        ) % {"low": low, "high": high}
    text = _(
        "Resistance to ground tells them apart: %(low)s reads lower than %(high)s."
    ) % {"low": low, "high": high}
    return text if has_check else _("%(text)s No check for it here.") % {"text": text}


def inductors_of(one: GroupSeen, where: str) -> str:
    """A confirmed group as the place of a probe."""
    count = len(one.marks)
    return ngettext(
        "the inductor of group %(letter)s, %(where)s",
        "one of the %(n)d inductors of group %(letter)s, %(where)s",
        count,
    ) % {"n": count, "letter": one.letter, "where": where}
