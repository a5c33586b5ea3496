"""What closed tickets left, by board model, and which boards are worth taking in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from diagnostics.models import BoardModel
from shop.office import told
from shop.office.asked import Asked
from shop.office.drawings import Share, Shares
from shop.office.figures import FEWEST
from shop.office.kept import kept
from shop.office.margin import Margin
from shop.office.money.closed import Closed, closed_of
from shop.office.money.worth import FIXED_ENOUGH, WANTED, Judged, Record, Worth, judged
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.people.models import Shop

MOST_BARS = 12


@dataclass(frozen=True)
class Boards:
    """The closed tickets of a time with the names of their board models."""

    shop: Shop
    closed: Closed
    names: Mapping[int, str]

    def name(self, model: int | None) -> str:
        return self.names.get(model or 0) or _("no board, or boards of several models")

    def money(self, minor: int | None) -> Cell:
        return told.amount(minor, self.shop.currency)

    @cached_property
    def ranked(self) -> list[tuple[int | None, Record]]:
        """Those with most tickets first."""
        pairs = self.closed.records.items()
        return sorted(pairs, key=lambda one: (-one[1].closed, self.name(one[0])))

    @cached_property
    def together(self) -> Margin:
        each = [one.margin for one in self.closed.records.values()]
        labour = [one.labour for one in each if one.labour is not None]
        return Margin(
            tickets=sum(one.tickets for one in each),
            invoiced=sum(one.invoiced for one in each),
            parts=sum(one.parts for one in each),
            minutes=sum(one.minutes for one in each),
            labour=sum(labour) if len(labour) == len(each) else None,
        )


def boards_of(shop: Shop, asked: Asked) -> Boards:
    rows = BoardModel.objects.filter(shop=shop).values_list("pk", "number", "name")
    names = {pk: ", ".join(filter(None, (name, number))) for pk, number, name in rows}
    closed = kept("closed", shop, asked, lambda: closed_of(shop, asked))
    return Boards(shop, closed, names)


# --- what a ticket left -------------------------------------------------------------


def margin(boards: Boards) -> Section:
    return Section(
        code="margin",
        title=_("What closed tickets left"),
        unit=_("after parts and our time, by board model"),
        says=_margin_said(boards),
        means=_(
            "Margin: invoiced without tax, less parts at cost, less logged hours at "
            "what an hour cost us on its day; a share of what was invoiced. Of tickets "
            "closed in this time, warranty work with them. Left out: tickets on an "
            "account’s monthly invoice, and in another currency."
        ),
        table=Table(
            [
                Column("board_model", _("Board model"), Kind.TEXT),
                Column("tickets", _("Tickets"), Kind.COUNT),
                Column("invoiced", _("Invoiced"), Kind.AMOUNT),
                Column("parts", _("Parts"), Kind.AMOUNT),
                Column("hours", _("Hours"), Kind.HOURS),
                Column("labour", _("Our time"), Kind.AMOUNT),
                Column("left", _("Left"), Kind.AMOUNT),
                Column("left_each", _("Left a ticket"), Kind.AMOUNT),
                Column("margin", _("Margin, %"), Kind.PERCENT),
            ],
            [
                _margin_row(boards, boards.name(model), one.margin)
                for model, one in boards.ranked
                if one.margin.tickets
            ],
        ),
        drawing=_margin_bars(boards),
    )


def _margin_said(boards: Boards) -> str:
    every = boards.together
    if every.tickets < FEWEST:
        return _("Too few yet: fewer than three tickets with their money were closed.")
    if every.labour is None:
        return _(
            "No margin yet: what an hour of work costs the shop is not set, and "
            "without it a share would leave out the largest cost."
        )
    values = {
        "each": told.money(_each(every) or 0, boards.shop.currency),
        "n": every.tickets,
        "share": told.percent((every.percent or 0) / 100),
    }
    if every.percent is None:
        return _("A closed ticket left %(each)s (%(n)s tickets).") % values
    said = _(
        "A closed ticket left %(each)s on average, %(share)s of what was invoiced "
        "(%(n)s tickets)."
    )
    return said % values


def _each(one: Margin) -> int | None:
    """Minor units a ticket; under three it would be an anecdote."""
    is_told = one.tickets >= FEWEST and one.labour is not None
    return round(one.left / one.tickets) if is_told else None


def _margin_row(boards: Boards, name: str, one: Margin) -> list[Cell]:
    return [
        name,
        one.tickets,
        boards.money(one.invoiced),
        boards.money(one.parts),
        told.in_hours(one.minutes),
        boards.money(one.labour),
        boards.money(None if one.labour is None else one.left),
        boards.money(_each(one)),
        one.percent,
    ]


def _margin_bars(boards: Boards) -> Shares | None:
    """Filled by what is left of what was invoiced."""
    rows = [
        Share(
            boards.name(model),
            max(0, one.margin.left),
            one.margin.invoiced,
            told.percent(one.margin.percent / 100),
        )
        for model, one in boards.ranked
        if one.margin.percent is not None
    ]
    return Shares(rows[:MOST_BARS]) if rows else None


# --- worth taking in ----------------------------------------------------------------


def worth(boards: Boards) -> Section:
    known = [(model, one) for model, one in boards.ranked if model is not None]
    found = [(boards.name(model), one, judged(one)) for model, one in known]
    return Section(
        code="worth",
        title=_("Boards worth taking in"),
        unit=_("by what became of them in this time"),
        says=_worth_said([(name, one.worth) for name, _record, one in found]),
        means=_(
            "Our judgement, not a law: yes from %(wanted)s %% of the invoice left; at "
            "a price where a customer has paid as much as leaves that; with a donor "
            "only where under %(enough)s %% were fixed and parts lacked for half of "
            "those not to be mended; not at our price under half fixed or beyond what "
            "anybody paid. Fixed is of all closed tickets."
        )
        % {"wanted": WANTED, "enough": FIXED_ENOUGH},
        table=Table(
            [
                Column("board_model", _("Board model"), Kind.TEXT),
                Column("closed", _("Closed"), Kind.COUNT),
                Column("fixed", _("Fixed, %"), Kind.PERCENT),
                Column("margin", _("Margin, %"), Kind.PERCENT),
                Column("worth", _("Worth it"), Kind.TEXT),
            ],
            [_worth_row(boards, name, record, one) for name, record, one in found],
        ),
    )


def _worth_row(boards: Boards, name: str, record: Record, one: Judged) -> list[Cell]:
    is_few = record.closed < FEWEST
    return [
        name,
        record.closed,
        None if is_few else round(record.fixed_percent, 1),
        record.margin.percent,
        worth_said(one, boards.shop.currency),
    ]


def worth_said(one: Judged, currency: str) -> str:
    return {
        Worth.FEW: _("too few yet"),
        Worth.UNKNOWN: _("not known: no cost of an hour is set"),
        Worth.YES: _("yes"),
        Worth.AT_LEAST: _("yes, at %(price)s or more before tax")
        % {"price": told.money(one.at_least or 0, currency)},
        Worth.DONOR: _("only with a donor board"),
        Worth.NOT: _("not at our price"),
    }[one.worth]


def _worth_said(found: Sequence[tuple[str, Worth]]) -> str:
    """The models by name, those to think about before the others."""
    if not any(worth != Worth.FEW for _name, worth in found):
        return _("Too few yet: no board model has three closed tickets in this time.")
    heads = {
        Worth.YES: _("Worth taking in: %(models)s."),
        Worth.AT_LEAST: _("At a higher price: %(models)s."),
        Worth.DONOR: _("Only with a donor board: %(models)s."),
        Worth.NOT: _("Not at our price: %(models)s."),
        Worth.UNKNOWN: _("Not known without the cost of an hour: %(models)s."),
    }
    told_of = {worth: [name for name, own in found if own == worth] for worth in heads}
    return " ".join(
        head % {"models": "; ".join(told_of[worth])}
        for worth, head in heads.items()
        if told_of[worth]
    )


# --- tickets that cost more than they brought ---------------------------------------


def costly(boards: Boards) -> Section:
    found = boards.closed.costly
    return Section(
        code="costly",
        title=_("Tickets that cost more than they brought"),
        unit=_("the ten worst"),
        says=_costly_said(boards),
        means=_(
            "Closed in this time, and less invoiced without tax than their parts and "
            "our time cost."
        ),
        table=Table(
            [
                Column("ticket", _("Ticket"), Kind.TICKET),
                Column("board_model", _("Board model"), Kind.TEXT),
                Column("invoiced", _("Invoiced"), Kind.AMOUNT),
                Column("parts", _("Parts"), Kind.AMOUNT),
                Column("hours", _("Hours"), Kind.HOURS),
                Column("labour", _("Our time"), Kind.AMOUNT),
                Column("left", _("Left"), Kind.AMOUNT),
            ],
            [
                [
                    one.number,
                    boards.name(one.model),
                    boards.money(one.margin.invoiced),
                    boards.money(one.margin.parts),
                    told.in_hours(one.margin.minutes),
                    boards.money(one.margin.labour),
                    boards.money(one.margin.left),
                ]
                for one in found
            ],
        ),
    )


def _costly_said(boards: Boards) -> str:
    found, every = boards.closed.costly, boards.together
    if every.labour is None and every.tickets:
        return _("Not known: what an hour of work costs the shop is not set.")
    if not found:
        return _("No closed ticket cost more than it brought.")
    worst = found[0]
    values = {
        "n": len(found),
        "lost": told.money(-worst.margin.left, boards.shop.currency),
        "ticket": worst.number,
    }
    said = ngettext(
        "Ticket %(ticket)s cost %(lost)s more than it brought, and no other did.",
        "Ticket %(ticket)s cost %(lost)s more than it brought, the most of the "
        "%(n)s shown.",
        len(found),
    )
    return said % values
