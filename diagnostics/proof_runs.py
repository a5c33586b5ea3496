"""What of the proof runs by itself: how long yet, and what is ready to be looked at.

Runs go by the server's clock. They are machine time, never labour.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from diagnostics import proof, proof_words, sayings
from diagnostics.models import MachineRun
from diagnostics.proof import Level
from shop.intake.models import Ticket
from shop.people import hours
from shop.people.models import Shop
from shop.people.opening_hours import hours_of

# A full pass of a memory test takes about this long (judgement): the run is over when
# the machine says so, which somebody has to look at.
MEMORY_MINUTES = 60
A_NIGHT = timedelta(hours=8)


@dataclass(frozen=True)
class Run:
    """One run that was started, as it stands at a moment."""

    row: MachineRun
    now: datetime

    @property
    def planned(self) -> int:
        """Minutes as planned; without a plan those of the item's full proof."""
        return self.row.planned_minutes or proof.ITEMS[self.row.kind].minutes(
            Level.FULL
        )

    @property
    def name(self) -> str:
        return sayings.proof_name(self.row.kind)

    @property
    def ready_at(self) -> datetime:
        return self.row.started_at + timedelta(minutes=self.planned)

    @property
    def is_over(self) -> bool:
        return self.now >= self.ready_at or hasattr(self.row, "end")

    @property
    def left(self) -> str:
        return proof_words.left(self.ready_at - self.now)

    @property
    def minutes(self) -> int:
        """How long it ran, at most as long as planned: nobody saw more."""
        ran = int((self.now - self.row.started_at).total_seconds() // 60)
        return max(0, min(ran, self.planned or ran))

    @property
    def may_pass(self) -> bool:
        """A memory test is over when the machine says so; the rest takes its time."""
        return self.row.kind == "memory_test" or self.minutes >= self.planned


def planned_minutes(item: str, level: Level, shop: Shop, now: datetime) -> int:
    """How long an item is left alone: the level's minutes, a pass, or a night."""
    if item == "memory_test":
        return MEMORY_MINUTES
    if item != "soak":
        return proof.ITEMS[item].minutes(level) or proof.ITEMS[item].minutes(Level.FULL)
    opens = hours.next_opening(hours_of(shop), now + A_NIGHT) or now + 2 * A_NIGHT
    return int((opens - now).total_seconds() // 60)


def unanswered(ticket: Ticket, now: datetime) -> dict[str, Run]:
    """By item the newest run of which nobody has said yet what happened."""
    rows = MachineRun.objects.filter(ticket=ticket, kind__in=list(proof.ITEMS))
    newest = {row.kind: row for row in rows.select_related("end").order_by("id")}
    said = dict(ticket.proof_items.order_by("id").values_list("item", "at"))
    return {
        kind: Run(row, now)
        for kind, row in newest.items()
        if kind not in said or said[kind] < row.started_at
    }


def of_shop(shop: Shop, now: datetime) -> list[Run]:
    """What runs in the shop and nobody has ended; what is ready first comes first."""
    rows = MachineRun.objects.filter(
        ticket__shop=shop,
        ticket__handover=None,
        kind__in=list(proof.ITEMS),
        end=None,
    )
    runs = [Run(row, now) for row in rows.select_related("ticket")]
    return sorted(runs, key=lambda one: one.ready_at)
