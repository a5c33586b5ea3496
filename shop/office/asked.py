"""Of which time a page of the office speaks. PURE."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Asked:
    """From ``since`` until before ``until``, seen at ``now``; all aware."""

    since: datetime
    until: datetime
    now: datetime
