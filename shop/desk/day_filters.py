"""What of the day list is shown, told by the address alone."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from django.utils.functional import Promise
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _

from shop.intake.turn import Whose
from shop.intake.words import WHOSE
from shop.people.models import Person

if TYPE_CHECKING:
    from shop.desk.day import Row

LONGEST = 60
PARTIES = (Whose.OURS, Whose.CUSTOMER, Whose.SUPPLIER, Whose.HANDOVER)
TOGGLES: Mapping[str, str | Promise] = {
    "mine": _("Mine"),
    "late": _("Late"),
    "silent": _("Silent"),
    "part": _("Waiting for a part"),
}


@dataclass(frozen=True)
class Link:
    """One filter to tap: what it leads to, and whether it holds now."""

    label: str | Promise
    query: str
    is_on: bool


@dataclass(frozen=True)
class Filters:
    """Everything that is asked for has to hold of a row."""

    whose: str = ""
    mine: bool = False
    late: bool = False
    silent: bool = False
    part: bool = False
    text: str = ""

    @property
    def is_any(self) -> bool:
        return self != ALL

    @property
    def query(self) -> str:
        named = {"whose": self.whose, "q": self.text}
        asked = {name: "1" for name in TOGGLES if getattr(self, name)}
        return urlencode({n: v for n, v in named.items() if v} | asked)

    @property
    def kept(self) -> list[tuple[str, str]]:
        """What a form that asks for words takes along."""
        return parse_qsl(replace(self, text="").query)

    def lets(self, row: "Row", person: Person | None) -> bool:
        holds = (
            not self.whose or row.turn.whose == self.whose,
            not self.mine or (person is not None and row.is_with(person)),
            not self.late or bool(row.is_late or row.part_late_by),
            not self.silent or row.is_silent or bool(row.contact_late_by),
            not self.part or row.waits_for_part,
            not self.text or row.says(self.text),
        )
        return all(holds)

    def links(self) -> list[Link]:
        """One party at a time; the others come and go by themselves."""
        parties = [
            Link(
                WHOSE[party],
                replace(self, whose="" if self.whose == party else party).query,
                self.whose == party,
            )
            for party in PARTIES
        ]
        toggles = [
            Link(label, self._turned(name).query, getattr(self, name))
            for name, label in TOGGLES.items()
        ]
        return parties + toggles

    def _turned(self, name: str) -> "Filters":
        return replace(self, **{name: not getattr(self, name)})  # type: ignore[arg-type]


ALL = Filters()


def read(asked: Mapping[str, str]) -> Filters:
    """The filters of an address; what makes no sense there filters nothing."""
    whose = asked.get("whose", "")
    return Filters(
        whose=whose if whose in PARTIES else "",
        text=asked.get("q", "").replace("\0", "").strip()[:LONGEST],
        **{name: asked.get(name) == "1" for name in TOGGLES},
    )
