"""What a scenario tells of the shelf: claims, counts, parts off a donor."""

from datetime import timedelta

from diagnostics.models import TakenOff
from shop.billing import services as billing
from shop.billing.models import PartUse
from shop.desk.harvest import origin_of
from shop.desk.telling import Acts, Step, Telling
from shop.people.models import Person


def _claim(telling: Telling, step: Step, by: Person) -> None:
    """What was ordered last, as it came; or a part that proved dead in the board.

    With ``again_in_days`` the supplier sends another.
    """
    again = step.get("again_in_days")
    rest = {
        "by": by,
        "kind": step["kind"],
        "quantity": step.get("quantity", 1),
        "is_replaced": again is not None,
        "again_by": telling.at(step).date() + timedelta(days=again) if again else None,
        "at": telling.at(step),
    }
    if step.get("is_fitted"):
        use = PartUse.objects.filter(ticket=telling.in_hand).latest("id")
        claim = billing.claim_of_use(use=use, supplier=step["supplier"], **rest)
    elif telling.order_line is not None:
        claim = billing.claim_at_arrival(order_line=telling.order_line, **rest)
    else:
        raise ValueError("A claim is about what was ordered or fitted.")
    telling.order_line = claim.replacement


def _count(telling: Telling, step: Step, by: Person) -> None:
    """Counted blind: what should lie there, and by how much each ``differs``."""
    for code, differs in step["differs"].items():
        item = telling.stock[code]
        item.refresh_from_db()
        billing.stock_count(
            item=item,
            by=by,
            expected=item.on_hand,
            counted=item.on_hand + differs,
            reason=step.get("reasons", {}).get(code, ""),
            at=telling.at(step),
        )


def _shelve(telling: Telling, step: Step, by: Person) -> None:
    """What was taken off the donor last comes to the shelf, at its own price."""
    board = telling.on_bench
    taken = TakenOff.objects.filter(intervention__board=board).latest("pk")
    billing.stock_harvest(
        item=telling.stock[step["stock"]],
        by=by,
        origin=origin_of(taken),
        donor=f"{board.serial} {taken.intervention.place}".strip(),
        price=telling.money(step["price"]),
        at=telling.at(step),
    )


ACTS: Acts = {"claim": _claim, "count": _count, "shelve": _shelve}
