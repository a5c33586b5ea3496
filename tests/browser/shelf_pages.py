"""The pages of the parts: the shelf, what comes, what is wrong, donors."""

from typing import TYPE_CHECKING

from playwright.sync_api import Page

from diagnostics import services as bench
from diagnostics.models import Board, Origin, TakenOff
from shop.billing import services as billing
from shop.billing.models import OrderLine, PartUse, StockItem
from shop.billing.shelf_models import Claim
from shop.intake.models import Ticket
from shop.people.models import Person

if TYPE_CHECKING:
    from tests.browser.pages import Seen


def shelf_counter_pages(ticket: Ticket) -> "list[Seen]":
    from tests.browser.pages import Seen

    item = StockItem.objects.filter(on_hand__gt=2).earliest("id")
    claim, line = told(ticket, item)
    came = item.moves.filter(order_line__isnull=False).latest("id")
    at = f"/stock/{item.pk}/"
    return [
        Seen("stock", "/stock/"),
        Seen("stock-low", "/stock/?show=low"),
        Seen("stock-none", "/stock/?q=nothing+like+it"),
        Seen("stock-new", "/stock/new/"),
        Seen("stock-new-refused", "/stock/new/", act=send_nothing),
        Seen("stock-item", at),
        *(
            Seen(f"stock-{name}", f"{at}{name}/")
            for name in ("change", "bring-in", "order")
        ),
        Seen("receive", "/stock/receive/"),
        Seen("receive-came", f"/stock/receive/?came={came.pk}"),
        Seen("receive-none", "/stock/receive/?code=nothing+like+it"),
        Seen("receive-line", f"/stock/receive/{line.pk}/"),
        Seen("receive-wrong", f"/stock/receive/{line.pk}/wrong/"),
        Seen("lot-wrong", f"/stock/lots/{item.lots.latest('id').pk}/wrong/"),
        Seen("orders", "/stock/orders/"),
        Seen("line-late", f"/stock/orders/{line.pk}/late/"),
        Seen("claims", "/stock/claims/"),
        Seen("claim", f"/stock/claims/{claim.pk}/"),
        Seen("claim-refused", f"/stock/claims/{claim.pk}/", act=send_nothing),
    ]


def told(ticket: Ticket, item: StockItem) -> tuple[Claim, OrderLine]:
    """An order of which some came, something kept, a claim that is open."""
    tomas = Person.objects.get(username="tomas")
    open_one = Claim.objects.filter(end=None).first()
    if open_one is not None:
        return open_one, OrderLine.objects.filter(awaited__gt=0, item=item).latest("id")
    line = billing.stock_order(
        item=item, by=tomas, supplier="Marsh", price=item.cost, quantity=3
    )
    billing.order_receive(order_line=line, by=tomas, quantity=1)
    billing.stock_reserve(item=item, ticket=ticket, by=tomas)
    lot = item.lots.latest("id")
    claim = billing.claim_from_shelf(lot=lot, by=tomas, kind="dead", quantity=1)
    return claim, line


def shelf_bench_pages(ticket: Ticket) -> "list[Seen]":
    from tests.browser.pages import Seen

    donor = Board.objects.filter(origin=Origin.DONOR).earliest("id")
    ines = Person.objects.get(username="ines")
    taken = TakenOff.objects.filter(for_ticket=None).first() or bench.part_take_off(
        board=donor, by=ines, part_id="p.dual", place="PU9"
    )
    use = PartUse.objects.filter(move__isnull=False, reverses=None).earliest("id")
    return [
        Seen("who-has", "/stock/who-has/"),
        Seen("who-has-asked", f"/stock/who-has/?q=controller&ticket={ticket.number}"),
        Seen("harvest", f"/stock/harvest/{taken.pk}/"),
        Seen("harvest-refused", f"/stock/harvest/{taken.pk}/", act=send_nothing),
        Seen("part-used-dead", f"/tickets/{use.ticket.number}/part/{use.pk}/wrong/"),
        Seen("count", "/stock/count/"),
        Seen("count-why", "/stock/count/", act=count_one),
    ]


def send_nothing(page: Page) -> None:
    page.locator("main form .acts button.main").click()


def count_one(page: Page) -> None:
    page.locator(".count-row input").first.fill("7")
    send_nothing(page)
