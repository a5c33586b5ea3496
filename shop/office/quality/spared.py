"""Minutes that the suspects spared against the whole walk."""

from collections import defaultdict
from collections.abc import Sequence

from django.utils.translation import gettext as _

from diagnostics import forecasts
from diagnostics.forecasts import Forecast
from shop.office.drawings import Share, Shares
from shop.office.quality.names import Names
from shop.office.quality.saved import Saved, Spent, mean_of, minutes_of, walk_minutes
from shop.office.sections import Cell, Column, Kind, Section, Table


def spent_by_family(found: Sequence[Forecast], names: Names) -> dict[str, list[Spent]]:
    """Of the repairs that something was measured for; three queries."""
    boards = forecasts.boards_of_models([one.model for one in found])
    walks = {model: walk_minutes(board) for model, board in boards.items()}
    points = forecasts.points_before([one.repair for one in found])
    spent: dict[str, list[Spent]] = defaultdict(list)
    for one in found:
        if own := points.get(one.repair):
            taken = minutes_of(boards[one.model], own)
            spent[names.family(one.model)].append(Spent(taken, walks[one.model]))
    return spent


def section(found: Sequence[Forecast], names: Names) -> Section:
    by_family = spent_by_family(found, names)
    each = sorted(by_family.items(), key=lambda one: (-len(one[1]), one[0]))
    every = [one for _name, own in each for one in own]
    groups = [(_("all"), every), *each] if every else []
    return Section(
        code="saved",
        title=_("Minutes saved against the whole walk"),
        unit=_("a proven repair, by board family"),
        says=_said(mean_of(every)),
        means=_(
            "The minutes of every check of the board’s walk, less those of the checks "
            "that were read on the ticket before the repair, by the family’s minutes a "
            "check and not by a clock. What a technician would have left out without "
            "the suspects is not known."
        ),
        table=Table(
            [
                Column("family", _("Board family"), Kind.TEXT),
                Column("repairs", _("Repairs"), Kind.COUNT),
                Column("taken", _("Checks taken, min"), Kind.MINUTES),
                Column("walk", _("Whole walk, min"), Kind.MINUTES),
                Column("saved", _("Saved, min"), Kind.MINUTES),
            ],
            [_row(name, own) for name, own in groups],
        ),
        drawing=_drawing(groups),
    )


def _said(mean: Saved | None) -> str:
    if mean is None:
        return _("Too few yet: fewer than three repairs were measured with suspects.")
    values = {
        "taken": round(mean.taken),
        "walk": round(mean.walk),
        "saved": round(mean.saved),
        "n": mean.repairs,
    }
    said = _(
        "A repair’s checks took %(taken)s of the %(walk)s minutes of the whole walk: "
        "%(saved)s minutes less (%(n)s repairs)."
    )
    return said % values


def _row(name: str, own: Sequence[Spent]) -> list[Cell]:
    mean = mean_of(own)
    if mean is None:
        return [name, len(own), None, None, None]
    figures = (mean.taken, mean.walk, mean.saved)
    return [name, mean.repairs, *(round(one, 1) for one in figures)]


def _drawing(groups: Sequence[tuple[str, Sequence[Spent]]]) -> Shares | None:
    rows = []
    for name, own in groups:
        if mean := mean_of(own):
            says = _("%(taken)s of %(walk)s min") % {
                "taken": round(mean.taken),
                "walk": round(mean.walk),
            }
            rows.append(Share(name, round(mean.taken, 1), round(mean.walk, 1), says))
    return Shares(rows) if rows else None
