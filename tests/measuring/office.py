"""Rows of the office's pages, each beside the bare SQL of what it shows.

Another page is one more entry of ``PAGES``: its name, its address, its statements.
"""

import resource
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from django.db import connection
from django.test import Client
from django.urls import reverse

from shop.people.models import Shop
from tests.measuring.bulk import BigShop
from tests.measuring.pages import counted
from tests.measuring.rows import Row, row

KIB_A_MIB = 1024

# What lies open, what happened to it, what jobs owe, what no invoice bills.
OPEN = """SELECT t.id FROM intake_ticket t WHERE t.shop_id = %(shop)s AND NOT EXISTS
    (SELECT 1 FROM intake_handover h WHERE h.ticket_id = t.id)"""
HAPPENED = """SELECT e.ticket_id, e.kind, e.at, e.codes, e.ids FROM records_event e
    WHERE e.ticket_id IN (SELECT t.id FROM intake_ticket t WHERE t.shop_id = %(shop)s
    AND NOT EXISTS (SELECT 1 FROM intake_handover h WHERE h.ticket_id = t.id))
    ORDER BY e.id"""
OWED = """SELECT b.ticket_id, b.currency, b.sum - COALESCE(p.sum, 0) FROM
    (SELECT ticket_id, currency, SUM(total_minor) AS sum FROM billing_invoice
    WHERE shop_id = %(shop)s AND ticket_id IS NOT NULL
    GROUP BY ticket_id, currency) b LEFT JOIN
    (SELECT ticket_id, currency, SUM(amount_minor - rounding_minor) AS sum
    FROM billing_payment WHERE shop_id = %(shop)s GROUP BY ticket_id, currency) p
    ON p.ticket_id = b.ticket_id AND p.currency = b.currency
    WHERE b.sum > COALESCE(p.sum, 0)"""
NEVER_BILLED = """SELECT t.id FROM intake_ticket t WHERE t.shop_id = %(shop)s
    AND NOT EXISTS (SELECT 1 FROM billing_invoice i WHERE i.ticket_id = t.id
    AND i.kind = 'invoice')"""
LISTS = (OPEN, HAPPENED, OWED, NEVER_BILLED)
# How long each ticket was with whom; what was billed, paid, worked; how repairs ended.
DAYS = ("SELECT * FROM office_ticketdays WHERE shop_id = %(shop)s",)
MONEY = (
    """SELECT id, ticket_id, kind, currency, net_minor, total_minor, issued_at
    FROM billing_invoice WHERE shop_id = %(shop)s""",
    """SELECT ticket_id, currency, amount_minor, at FROM billing_payment
    WHERE shop_id = %(shop)s""",
    """SELECT w.person_id, w.kind, SUM(w.minutes) FROM billing_timeentry w
    JOIN intake_ticket t ON t.id = w.ticket_id WHERE t.shop_id = %(shop)s
    GROUP BY w.person_id, w.kind""",
)
TILL = (
    """SELECT p.method, SUM(p.amount_minor), COUNT(*) FROM billing_payment p
    WHERE p.shop_id = %(shop)s AND p.method <> 'credit' AND NOT EXISTS
    (SELECT 1 FROM books_daypayment d WHERE d.payment_id = p.id) GROUP BY p.method""",
)
LORE = (
    """SELECT m.id, COUNT(DISTINCT b.id), MAX(j.joined_at)
    FROM diagnostics_boardmodel m JOIN diagnostics_board b ON b.board_model_id = m.id
    JOIN diagnostics_ticketboard j ON j.board_id = b.id
    WHERE m.shop_id = %(shop)s AND b.origin = 'customer' GROUP BY m.id""",
)
SHELF = (
    """SELECT i.id, i.name, i.on_hand, SUM(m.quantity) FROM billing_stockitem i
    JOIN billing_stockmove m ON m.item_id = i.id WHERE i.shop_id = %(shop)s
    AND m.why = 'used' GROUP BY i.id, i.name, i.on_hand""",
)
QUALITY = (
    """SELECT o.ticket_id, o.kind, o.at FROM intake_outcome o
    JOIN intake_ticket t ON t.id = o.ticket_id WHERE t.shop_id = %(shop)s""",
    """SELECT f.ticket_id, f.part_id, f.mode_id, f.at FROM diagnostics_finding f
    JOIN intake_ticket t ON t.id = f.ticket_id
    WHERE t.shop_id = %(shop)s AND f.is_proven""",
)
ACCOUNTS = (
    """SELECT id, name FROM intake_customer WHERE shop_id = %(shop)s AND is_account
    AND joined_to_id IS NULL AND erased_at IS NULL ORDER BY name""",
)
ADVICE = (
    """SELECT a.* FROM diagnostics_advice a JOIN diagnostics_board b
    ON b.id = a.board_id ORDER BY a.id DESC LIMIT 50""",
)
# Who has not been here for three years, and has nothing open.
DUE = (
    """SELECT c.id FROM intake_customer c WHERE c.shop_id = %(shop)s
    AND c.erased_at IS NULL AND c.since < '2023-01-01' AND NOT EXISTS (SELECT 1
    FROM intake_ticket t WHERE t.customer_id = c.id AND t.opened_at >= '2023-01-01')
    ORDER BY c.id LIMIT 100""",
)


@dataclass(frozen=True)
class Page:
    name: str
    route: str
    statements: Sequence[str]
    arguments: Sequence[object] = ()
    query: Mapping[str, str] = field(default_factory=dict)


FIGURES = "office:figures"
PAGES = (
    Page("office lists", "office:review", LISTS),
    Page("office turnaround", FIGURES, DAYS, ("turnaround",)),
    Page("office money", FIGURES, MONEY, ("money",)),
    Page("office quality", FIGURES, QUALITY, ("quality",)),
    Page("till", "books:till", TILL),
    Page("cash in or out", "books:cash_move", TILL),
    Page("money owed", "books:owed", (OWED,)),
    Page("board lore", "diagnostics:lores", LORE),
    Page("stock", "billing:stock", SHELF),
    Page("accounts", "billing:accounts", ACCOUNTS),
    Page("kept advice", "diagnostics:advice", ADVICE),
    Page("how long data stays", "rights:periods", DUE),
)


def office_rows(big: BigShop, rounds: int) -> Iterator[Row]:
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(big.person)
    for page in PAGES:
        yield _row(page, client, big.shop, rounds)


def _row(page: Page, client: Client, shop: Shop, rounds: int) -> Row:
    url = reverse(page.route, args=list(page.arguments))
    _size, queries = counted(client, url)

    def bare() -> int:
        with connection.cursor() as cursor:
            found = 0
            for statement in page.statements:
                cursor.execute(statement, {"shop": shop.pk})
                found += len(cursor.fetchall())
        return found

    return row(page.name, lambda: client.get(url, page.query), bare, rounds, queries)


def memory() -> str:
    """What this process held at most, with all that it measured."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // KIB_A_MIB
    return f"this process held {most} MiB at most"
