"""How often slip links may be asked for, counted by all workers together."""

from datetime import datetime

from shop.intake import slip_links
from shop.intake.slip_models import SlipLink
from shop.records.counting import count_of, counted

# Within about a minute: wrong links of one address, right ones of one address (a
# house of many phones may share it), and one link by whomsoever.
MOST_WRONG = 20
MOST_OF_ADDRESS = 120
MOST_OF_LINK = 60


def link_of(address: str, link_id: str, now: datetime) -> SlipLink | None:
    """The link of that id; None too where this was asked too often."""
    if count_of(f"slip.wrong.{address}") >= MOST_WRONG:
        return None
    link = slip_links.link_of(link_id, now)
    if link is None:
        counted(f"slip.wrong.{address}")
        return None
    is_often = counted(f"slip.from.{address}") > MOST_OF_ADDRESS
    is_often |= counted(f"slip.link.{link.pk}") > MOST_OF_LINK
    return None if is_often else link
