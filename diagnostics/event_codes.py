"""The bench's own codes of an event, by the names that people read."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics import bridge, sayings
from diagnostics.advice_models import Sighting
from diagnostics.machine_models import MachineKind
from diagnostics.models import InterventionKind, ProofItem
from shop.records.kinds import Kind
from shop.records.models import Event

Names = Mapping[str, str | Promise]
ITEMS: Names = {
    "cold_start": _("cold start"),
    "load_run": _("load run"),
    "sleep_wake": _("sleep and wake"),
    "charge": _("charging"),
    "battery_run": _("battery run"),
    "memory_test": _("memory test"),
    "functions": _("ports and functions"),
    "soak": _("cold start the next day"),
    "counted": _("what came with it, counted"),
}
NAMES: Mapping[tuple[str, str], Names] = {
    (Kind.INTERVENTION_DONE, "kind"): dict(InterventionKind.choices),
    (Kind.MACHINE_STARTED, "kind"): dict(MachineKind.choices),
    (Kind.MACHINE_ENDED, "kind"): dict(MachineKind.choices),
    (Kind.SIGHTING_KEPT, "kind"): dict(Sighting.Kind.choices),
    (Kind.PROOF_GIVEN, "item"): ITEMS,
    (Kind.PROOF_GIVEN, "result"): dict(ProofItem.Result.choices),
}


def name_of(event: Event, what: str, code: str) -> str | None:
    if names := NAMES.get((event.kind, what)):
        return str(names[code]) if code in names else None
    if what in {"check", "gate", "rail"}:
        return _name_in_a_family(what, code)
    return None


def family_named(setting: str) -> str | None:
    """The family that an owner offers, or no more."""
    is_one = setting in bridge.family_ids()
    return sayings.family_text(bridge.family_name(setting)) if is_one else None


def _name_in_a_family(what: str, code: str) -> str | None:
    """A check's name with its number, or a rail's: the first family that has it."""
    for family in bridge.families():
        if what == "rail" and code in family.rails:
            return sayings.family_text(family.rails[code].name)
        if what != "rail" and code in family.checks:
            return f"{sayings.family_text(family.checks[code].name)} ({code})"
    return None
