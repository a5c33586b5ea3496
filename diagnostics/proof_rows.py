"""The items of a proof as page and sheet show them."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from diagnostics import proof, proof_words, sayings
from diagnostics.models import ProofItem
from diagnostics.proof import FAILED, Lack, Stand
from diagnostics.proof_state import ProofState


@dataclass(frozen=True)
class Row:
    """One item: how it stands, and what it lacks for the level that is asked."""

    item: str
    stand: Stand
    lacks: Lack | None
    result: str
    amount: str
    details: str

    @property
    def name(self) -> str:
        return sayings.proof_name(self.item)

    @property
    def is_settled(self) -> bool:
        return self.lacks is None

    @property
    def has_failed(self) -> bool:
        return self.lacks is not None and self.lacks.has_failed


def rows_of(state: ProofState) -> list[Row]:
    """What the level asks, and whatever else was done."""
    asked = proof.required(state.handed, state.level, state.case)
    return [
        row_of(state, item)
        for item in proof.ITEMS
        if item in asked or item in state.stands
    ]


def row_of(state: ProofState, item: str) -> Row:
    stand = state.stands.get(item, Stand())
    lacks = proof.lacks(item, stand, state.level, state.handed)
    return Row(
        item=item,
        stand=stand,
        lacks=lacks,
        result=proof_words.result(stand, lacks is None),
        amount=proof_words.amount(item, stand, state.level),
        details="; ".join(_details(state, item, stand)),
    )


def _details(state: ProofState, item: str, stand: Stand) -> Iterator[str]:
    """Ticks apart from those that work, failures before, and what was said."""
    for how, sentence in (
        (FAILED, _("failed: %(what)s")),
        (ProofItem.Result.NOT_FITTED, _("not fitted: %(what)s")),
    ):
        named = [
            str(proof_words.TICKS[tick])
            for tick, result in stand.ticks.items()
            if result == how
        ]
        if named:
            yield sentence % {"what": proof_words.joined(named)}
    if proof_words.failures(stand):
        yield proof_words.failures(stand)
    row = _newest(state, item)
    if row is None or row.note is None:
        return
    if row.result == ProofItem.Result.WAIVED:
        yield _("by %(name)s: %(why)s") % {"name": row.by.name, "why": row.note.text}
    else:
        yield row.note.text


def _newest(state: ProofState, item: str) -> ProofItem | None:
    """The row whose words stand: the newest of the item that counts."""
    rows = [row for row in state.rows if row.item == item]
    back = ProofItem.Result.TAKEN_BACK
    return rows[-1] if rows and rows[-1].result != back else None


def left_out(state: ProofState) -> list[str]:
    """Items that what was handed in can't prove, each with why."""
    return [
        _("%(item)s: %(why)s")
        % {"item": sayings.proof_name(item), "why": proof_words.LEFT_OUT[why]}
        for item, why in proof.left_out(state.handed).items()
        if why != "family"
    ]


def ticks(state: ProofState, item: str) -> list[dict[str, str]]:
    """What is ticked one by one within an item, as it stands."""
    stand = state.stands.get(item, Stand())
    return [
        {
            "id": tick,
            "name": proof_words.tick_name(tick),
            "result": stand.ticks.get(tick, ""),
        }
        for tick in proof.ticks_of(item, state.handed)
    ]


def level_said(state: ProofState) -> str:
    """How far it is proved, in a sentence of the sheet."""
    return str(sayings.LEVELS[state.reached])
