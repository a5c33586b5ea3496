"""Names of people, board models and parts for the sections; three queries."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from diagnostics import bridge, sayings
from diagnostics.models import BoardModel
from shop.office.quality.fixed import Fixed
from shop.people.models import Person, Shop


@dataclass(frozen=True)
class Names:
    people: Mapping[int, str]
    models: Mapping[int, str]
    families: Mapping[int, str]  # by board model

    def person(self, pk: int | None) -> str:
        return self.people.get(pk or 0) or _("nobody named")

    def model(self, pk: int | None) -> str:
        return self.models.get(pk or 0) or _("no board, or boards of several models")

    def family(self, model: int | None) -> str:
        family = self.families.get(model or 0)
        if family is None:
            return _("no board, or boards of several families")
        return sayings.family_text(bridge.family_name(family))

    def part(self, model: int | None, part: str | None) -> str:
        """By its family; a part that it no longer knows by its id."""
        if part is None:
            return _("no part named")
        family = self.families.get(model or 0)
        known = bridge.engine_board(family, {}).parts if family else {}
        return sayings.family_text(known[part].name) if part in known else part


def names_of(shop: Shop, fixed: Fixed) -> Names:
    wanted = {which for what, which in fixed.groups if what == "person"}
    people = Person.objects.filter(pk__in=[pk for pk in wanted if pk is not None])
    rows = list(
        BoardModel.objects.filter(shop=shop).values_list(
            "pk", "number", "name", "family"
        )
    )
    return Names(
        people=dict(people.values_list("pk", "name")),
        models={pk: name or number for pk, number, name, _family in rows},
        families={pk: family for pk, _number, _name, family in rows},
    )
