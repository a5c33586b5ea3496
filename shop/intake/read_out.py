"""What is told of a ticket on the telephone: from facts to codes. PURE.

One to three sentences: where it stands, what was found, what comes next. A code with
its values is kept with each call; ``read_out_words`` makes sentences of them, today
and in a year, in any language.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from shop.intake.facts import FIRST_WORD, Happened
from shop.intake.turn import Whose
from shop.records.kinds import Kind

Values = Mapping[str, str | int]
SURE, LIKELY, NOT_FOUND = "found_sure", "found_likely", "found_none"
WAS = "found_was"
FOUND_LINES = {SURE, LIKELY, NOT_FOUND, WAS}
FOUND_KINDS = (Kind.SUSPECT_NAMED, Kind.SUSPECT_STRUCK, Kind.FINDING_CONFIRMED)
CURED = {"fixed", "improved"}
# What may stand in a sentence, as an event keeps it: codes, and minor units.
AMOUNTS = ("total", "cap", "due")
CODES = (
    *("device", "currency", "part", "mode", "because", "count", "version"),
    *("part_due", "promise", "valid_until", "given_back", "covered_until"),
)


@dataclass(frozen=True)
class Found:
    """A part and its way of failing, as the bench holds it now; or openly nothing."""

    code: str
    part: str = ""
    mode: str = ""


@dataclass(frozen=True)
class Price:
    """A quote that waits for its answer; amounts in minor units, tax included.

    With ``options`` to choose from they are those of the cheapest.
    """

    version: int
    total: int
    cap: int
    valid_until: date
    options: int = 0


@dataclass(frozen=True)
class Known:
    """The plain facts. ``due`` is what is left to pay, negative where too much was.

    ``whose``, ``waits_for`` and ``details`` are a ``Turn``'s; days are the shop's.
    """

    today: date
    device: str
    whose: str
    waits_for: str
    details: Mapping[str, Any]
    currency: str
    found: Found | None = None
    price: Price | None = None
    promise: date | None = None
    promise_about: str = ""
    outcome: str = ""
    no_fix_reason: str = ""
    due: int | None = None
    given_back: date | None = None
    stays_how: str = ""  # the way of a handover by which it became the shop's
    covered_until: date | None = None


@dataclass(frozen=True)
class Said:
    """The codes of the sentences, in their order, and what stands in them."""

    lines: tuple[str, ...]
    values: Values = field(default_factory=dict)

    @property
    def stands(self) -> "Said":
        """Where it stands, alone."""
        return replace(self, lines=self.lines[:1])

    @property
    def found(self) -> "Said":
        return replace(self, lines=tuple(x for x in self.lines if x in FOUND_LINES))

    @property
    def then(self) -> "Said":
        """What comes next, alone."""
        return replace(
            self, lines=tuple(x for x in self.lines[1:] if x not in FOUND_LINES)
        )


def read_out(known: Known) -> Said:
    """What to tell the customer now."""
    parts = [_stands(known), _found(known), _then(known)]
    said = [part for part in parts if part is not None]
    values: dict[str, str | int] = {"device": known.device, "currency": known.currency}
    for _line, own in said:
        values |= own
    return Said(tuple(line for line, _own in said), values)


def found_by(events: Iterable[Happened]) -> Found | None:
    """What the bench holds it to be, from its events in the order written."""
    found = None
    for event in events:
        part = str(event.codes.get("part") or "")
        mode = str(event.codes.get("mode") or "")
        if event.kind == Kind.SUSPECT_NAMED:
            found = Found(LIKELY, part, mode)
        elif event.kind == Kind.FINDING_CONFIRMED:
            is_named = bool(part)
            found = Found(SURE, part, mode) if is_named else Found(NOT_FOUND)
        elif event.kind == Kind.SUSPECT_STRUCK and found == Found(LIKELY, part, mode):
            found = None
    return found


Line = tuple[str, Values]


def _stands(known: Known) -> Line:
    """Where it stands; always said."""
    if known.whose == Whose.NOBODY:
        how = known.outcome or "other"
        line = f"stays_{known.stays_how}" if known.stays_how else f"closed_{how}"
        day = known.given_back or known.today
        return line, {"given_back": day.isoformat()}
    if known.whose == Whose.HANDOVER and known.outcome:
        reason = f"_{known.no_fix_reason}" if known.no_fix_reason else ""
        return f"ready_{known.outcome}{reason}", {}
    if _is_asked(known):
        return ("not_answered" if _is_over(known) else "answer_to_quote"), {}
    if known.waits_for.startswith("parked_"):
        return known.waits_for, {"because": str(known.details.get("because", ""))}
    if known.waits_for == "parts":
        return _part_due(known)
    return known.waits_for, {}


def _is_asked(known: Known) -> bool:
    """A quote lies with the customer, also while it is parked for their word."""
    waits = known.waits_for
    return known.price is not None and waits in {"answer_to_quote", "parked_customer"}


def _is_over(known: Known) -> bool:
    """The price no longer stands: there is nothing to say yes to."""
    return known.price is not None and known.price.valid_until < known.today


def _part_due(known: Known) -> Line:
    count = int(known.details.get("count", 1))
    due = known.details.get("due_on")
    if not due:
        return "parts_without_day", {"count": count}
    is_late = date.fromisoformat(due) < known.today
    return "parts_late" if is_late else "parts", {"count": count, "part_due": due}


def _found(known: Known) -> Line | None:
    """What was found; as a thing of the past once it is cured."""
    found = known.found
    if found is None or known.whose == Whose.NOBODY:
        return None
    is_over = known.whose == Whose.HANDOVER and known.outcome in CURED
    is_named = found.code == SURE
    if known.whose == Whose.HANDOVER and not (is_over and is_named):
        return None
    line = WAS if is_over else found.code
    return line, {"part": found.part, "mode": found.mode} if found.part else {}


def _then(known: Known) -> Line | None:
    """What comes next: a price, money, a warranty, or a promised day."""
    if known.whose == Whose.NOBODY:
        return _covered(known)
    if known.whose == Whose.HANDOVER:
        return _to_pay(known)
    if _is_asked(known):
        return _priced(known)
    return None if known.promise is None else _promised(known, known.promise)


def _promised(known: Known, promise: date) -> Line | None:
    is_late = promise < known.today
    if is_late and known.whose == Whose.CUSTOMER:
        return None  # it is not us who hold it up
    day = {"promise": promise.isoformat()}
    if known.promise_about == FIRST_WORD:
        return None if is_late else ("promised_word", day)
    return ("promise_late" if is_late else "promised_ready"), day


def _covered(known: Known) -> Line | None:
    until = known.covered_until
    if until is None or known.stays_how:
        return None
    line = "covered_until" if until >= known.today else "cover_over"
    return line, {"covered_until": until.isoformat()}


def _to_pay(known: Known) -> Line | None:
    if known.due is None or not known.outcome:
        return None
    line = "pay_due" if known.due > 0 else "pay_back" if known.due < 0 else "paid"
    return line, {"due": abs(known.due)} if known.due else {}


def _priced(known: Known) -> Line:
    price = known.price
    assert price is not None, "asked before: a quote lies with the customer"
    until = {"valid_until": price.valid_until.isoformat()}
    if _is_over(known):
        return "price_over", until
    sums = {"version": price.version, "total": price.total, "cap": price.cap}
    line = "price" if price.cap > price.total else "price_without_more"
    if price.options:
        line = "price_options"
    return line, sums | until


def keepable(said: Said) -> tuple[dict[str, str | int], dict[str, int]]:
    """The codes and the amounts by which an event keeps it."""
    codes: dict[str, str | int] = {"said": " ".join(said.lines)}
    codes |= {k: v for k, v in said.values.items() if k in CODES}
    return codes, {k: int(v) for k, v in said.values.items() if k in AMOUNTS}


def kept(codes: Mapping[str, Any], amounts: Mapping[str, Any]) -> Said | None:
    """What an event says was told; None where it keeps no words."""
    lines = str(codes.get("said") or "").split()
    if not lines:
        return None
    values = {name: codes[name] for name in CODES if name in codes}
    values |= {name: amounts[name] for name in AMOUNTS if name in amounts}
    return Said(tuple(lines), values)
