"""The things of a ticket and their bag tags, as they come in."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from shop.intake.models import Device, DeviceKind, Thing, ThingKind, Ticket
from shop.intake.services.rows import keep
from shop.records.errors import Refused

MOST_THINGS = 30
ITSELF = {ThingKind.MACHINE, ThingKind.BOARD}
# On a blank slip every tag says in print what it hangs on.
PRINTED_TAGS: Mapping[str, int] = {
    ThingKind.MACHINE: 1,
    ThingKind.BOARD: 1,
    ThingKind.ADAPTER: 2,
    ThingKind.LEAD: 3,
    ThingKind.PACK: 4,
    ThingKind.BAG: 5,
    ThingKind.DRIVE: 6,
    ThingKind.OTHER: 7,
}


@dataclass(frozen=True)
class ThingDraft:
    """Something that came with the device, as ticked at the counter."""

    kind: str
    label: str = ""


def with_itself(device: Device, things: Sequence[ThingDraft]) -> Iterator[ThingDraft]:
    """The device has the first bag tag, unless it was listed with the rest."""
    if not ITSELF & {thing.kind for thing in things}:
        is_bare = device.kind == DeviceKind.BARE_BOARD
        yield ThingDraft(ThingKind.BOARD if is_bare else ThingKind.MACHINE)
    yield from things


def things_keep(
    ticket: Ticket, drafts: Sequence[ThingDraft], *, is_on_paper: bool
) -> None:
    """Each gets the next tag; on paper the one that is printed for its kind."""
    used = {thing.tag for thing in ticket.things.all()}
    if len(used) + len(drafts) > MOST_THINGS:
        raise Refused(_("That is too many things for one ticket."), field="things")
    printed: Mapping[str, int] = PRINTED_TAGS if is_on_paper else {}
    last = max({0} | used | set(printed.values()))
    for draft in drafts:
        tag = printed.get(draft.kind)
        if tag is None or tag in used:
            tag = last = last + 1
        used.add(tag)
        keep(Thing(ticket=ticket, tag=tag, kind=draft.kind, label=draft.label))
