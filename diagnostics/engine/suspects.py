"""Suspects so far: a first, honest ranking, to be replaced by a circuit. PURE.

Hypotheses are *no fault*, each way of failing of each part, and *something else*.
What each predicts follows from the rail tree (``spread``); readings count as
independent given the fault, which they are not quite (one board, one meter), so
the ranking is bolder than it ought to be and is capped under certainty. Virtual
boards with a solved circuit will take its place.

    P(h | readings) ~ P(h) * product over readings of P(reading | h)

Priors: blocks are equal, the weights inside a block are the family's; parts that
lie anywhere come on top. *Something else* finds every class of a reading equally
likely: it wins only when all else fails.

An intervention starts a new epoch. Earlier readings speak for a hypothesis only
where the touched part is not in it; for every other hypothesis they may have come
from the touched part as well as from the hypothesis itself, so that "replaced,
fault stays" speaks against the part and a cure against all but no fault.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, fsum, isclose, log

from diagnostics.engine.boards import Board
from diagnostics.engine.family import Part, PartMode
from diagnostics.engine.readings_as import (
    Seen,
    chance,
    class_of,
    classes,
    kind_of,
    state_at,
)
from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.spread import NO_FAULT, Fault, Spread, faults_of

__all__ = ["Done", "Evidence", "Ranking", "Seen", "Suspect", "posterior", "rank"]

P_NO_FAULT = 0.05
P_SOMETHING_ELSE = 0.05
# A part just renewed is seldom the fault again (jd).
RENEWED = 0.1
RENEWING = frozenset({"removed", "fitted", "replaced"})
# Before a part was touched it or the present fault may have been at work (jd).
TOUCHED_SHARE = 0.5
CERTAINTY = 0.99
TELLING = log(2)
MOST_REASONS = 3

Key = tuple[str, str]
GOOD_BOARD: Key = ("", "no_fault")
OTHER: Key = ("", "something_else")


@dataclass(frozen=True)
class Done:
    """An intervention: it began ``epoch``; ``part_id`` is "" where none is named."""

    epoch: int
    part_id: str = ""
    kind: str = "replaced"


@dataclass(frozen=True)
class Evidence:
    """All that is known of a board: standing readings, oldest first, and acts."""

    seen: tuple[Seen, ...] = ()
    done: tuple[Done, ...] = ()


@dataclass(frozen=True)
class Suspect:
    """A part and its way of failing; the reasons for it come first, then against."""

    part_id: str
    mode_id: str
    probability: float
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class Ranking:
    """Suspects, likeliest first; with the other two shares they add up to 1."""

    suspects: tuple[Suspect, ...]
    something_else: float
    no_fault: float


@dataclass(frozen=True)
class Clue:
    """A reading that tells something: where, of which kind and class, and when."""

    point_id: str
    kind: str
    seen_class: str
    touched_since: frozenset[str]


def posterior(
    priors: Mapping[Key, float], log_likelihoods: Mapping[Key, float]
) -> dict[Key, float]:
    """Bayes' rule over any hypotheses; priors need not add up to 1.

    >>> found = posterior({("ill", ""): 1, ("well", ""): 99},
    ...                   {("ill", ""): log(0.8), ("well", ""): log(0.1)})
    >>> round(found["ill", ""], 4)
    0.0748
    """
    scores = {
        key: log(prior) + log_likelihoods[key]
        for key, prior in priors.items()
        if prior > 0
    }
    top = max(scores.values())
    weights = {key: exp(score - top) for key, score in scores.items()}
    total = fsum(weights.values())
    return {key: weights.get(key, 0.0) / total for key in priors}


def rank(board: Board, evidence: Evidence) -> Ranking:
    """Rank every way of failing of the board's parts; the shares add up to 1.

    Raises ``EvidenceError`` for a point that the board doesn't have.
    """
    spreads = _spreads(board)
    clues = _clues(board, evidence)
    tables = {key: _table(board, own, clues) for key, own in spreads.items()}
    logs = {key: _log_likelihood(key, tables, clues) for key in tables}
    logs[OTHER] = fsum(-log(classes(clue.kind)) for clue in clues)
    found = posterior(_priors(board, evidence, spreads), logs)
    shares = {key: CERTAINTY * share for key, share in found.items()}
    shares[OTHER] += 1 - CERTAINTY
    explain = _Reasons(board, clues, tables)
    suspects = [
        Suspect(*key, shares[key], explain.of(key, spreads[key][0]))
        for key in tables
        if key != GOOD_BOARD
    ]
    suspects.sort(key=lambda s: (-s.probability, s.part_id, s.mode_id))
    return Ranking(tuple(suspects), shares[OTHER], shares[GOOD_BOARD])


# --- hypotheses -----------------------------------------------------------------


def _modes(board: Board) -> list[tuple[Part, PartMode, list[Fault]]]:
    """Every way of failing that is possible on this board."""
    return [
        (part, mode, faults)
        for part in board.parts.values()
        if board.is_fitted(part.id)
        for mode in part.modes
        if (faults := faults_of(board, mode))
    ]


def _spreads(board: Board) -> dict[Key, list[Spread]]:
    spreads = {
        (part.id, mode.id): [Spread(board, fault) for fault in faults]
        for part, mode, faults in _modes(board)
    }
    return {GOOD_BOARD: [Spread(board, NO_FAULT)], **spreads}


def _priors(
    board: Board, evidence: Evidence, spreads: Mapping[Key, list[Spread]]
) -> dict[Key, float]:
    """Blocks equal, weights inside them; renewed parts seldom."""
    modes = _modes(board)
    in_block: dict[str, float] = {}
    for part, mode, _faults in modes:
        in_block[part.block] = in_block.get(part.block, 0.0) + mode.weight
    renewed = {act.part_id for act in evidence.done if act.kind in RENEWING}
    shares: dict[Key, float] = {}
    for part, mode, _faults in modes:
        is_on_top = board.blocks[part.block].is_on_top
        share = mode.weight / (100.0 if is_on_top else in_block[part.block])
        shares[part.id, mode.id] = share * (RENEWED if part.id in renewed else 1.0)
    scale = (1 - P_NO_FAULT - P_SOMETHING_ELSE) / fsum(shares.values())
    faults = {key: share * scale for key, share in shares.items()}
    return {GOOD_BOARD: P_NO_FAULT, OTHER: P_SOMETHING_ELSE, **faults}


# --- evidence -------------------------------------------------------------------


def _clues(board: Board, evidence: Evidence) -> list[Clue]:
    """The newest telling reading of each point between two interventions."""
    newest: dict[tuple[str, frozenset[str]], Clue] = {}
    for seen in evidence.seen:
        point = board.point(seen.point_id)
        kind, seen_class = kind_of(board, point), class_of(board, seen)
        touched = frozenset(
            act.part_id
            for act in evidence.done
            if act.epoch > seen.epoch and act.part_id in board.parts
        )
        if kind is None or not board.is_fitted(point.id):
            continue
        if seen_class is None:
            newest.pop((point.id, touched), None)
        else:
            newest[point.id, touched] = Clue(point.id, kind, seen_class, touched)
    return list(newest.values())


Table = list[list[float]]
"""Chances by concrete fault and clue."""


def _table(board: Board, spreads: list[Spread], clues: list[Clue]) -> Table:
    return [
        [
            chance(spread, board.point(clue.point_id), clue.kind, clue.seen_class)
            for clue in clues
        ]
        for spread in spreads
    ]


def _log_likelihood(key: Key, tables: Mapping[Key, Table], clues: list[Clue]) -> float:
    """All readings, group by group of what was touched since they were taken."""
    groups = dict.fromkeys(clue.touched_since for clue in clues)
    return fsum(_of_group(key, group, tables, clues) for group in groups)


def _of_group(
    key: Key, touched: frozenset[str], tables: Mapping[Key, Table], clues: list[Clue]
) -> float:
    """Readings taken before some parts were touched: a touched part's fault may
    have been at work then, alone (for its own part) or beside this one.
    """
    places = [n for n, clue in enumerate(clues) if clue.touched_since == touched]
    own = _rows(tables[key], places)
    theirs = [
        row
        for (part_id, _mode), table in tables.items()
        if part_id in touched
        for row in _rows(table, places)
    ]
    if not theirs:
        return _log_mean(own)
    if key[0] in touched:
        return _log_mean(theirs)
    good = _rows(tables[GOOD_BOARD], places)[0]
    both = [_together(one, other, good) for one in own for other in theirs]
    shares = (log(1 - TOUCHED_SHARE), log(TOUCHED_SHARE))
    return _log_add([_log_mean(own) + shares[0], _log_mean(both) + shares[1]])


def _rows(table: Table, places: list[int]) -> Table:
    return [[row[place] for place in places] for row in table]


def _together(one: list[float], other: list[float], good: list[float]) -> list[float]:
    """Two faults at once: each shows where the other leaves a good board's reading."""
    return [
        b if isclose(a, as_good) else a if isclose(b, as_good) else (a + b) / 2
        for a, b, as_good in zip(one, other, good, strict=True)
    ]


def _log_mean(rows: Table) -> float:
    """Mean over the concrete faults of the product over the readings, as a log."""
    logs = [fsum(log(chance_) for chance_ in row) for row in rows]
    return _log_add(logs) - log(len(logs))


def _log_add(logs: list[float]) -> float:
    top = max(logs)
    return top + log(fsum(exp(one - top) for one in logs))


# --- reasons --------------------------------------------------------------------


@dataclass(frozen=True)
class _Reasons:
    """Which readings speak for a suspect, and which against it."""

    board: Board
    clues: list[Clue]
    tables: Mapping[Key, Table]

    def of(self, key: Key, spread: Spread) -> tuple[Reason, ...]:
        weighed = [
            (self._weight(key, place), clue)
            for place, clue in enumerate(self.clues)
            if key[0] not in clue.touched_since
        ]
        telling = sorted(weighed, key=lambda one: -abs(one[0]))
        speaking = [one for one in telling if one[0] >= TELLING][:MOST_REASONS]
        against = [one for one in telling if one[0] <= -TELLING][:MOST_REASONS]
        return tuple(
            reason(
                "suspect_for" if weight > 0 else "suspect_against",
                point=clue.point_id,
                seen=clue.seen_class,
                state=self._state(spread, clue),
            )
            for weight, clue in (*speaking, *against)
        )

    def _weight(self, key: Key, place: int) -> float:
        """How much better than a good board this suspect explains the reading."""
        return self._log_chance(key, place) - self._log_chance(GOOD_BOARD, place)

    def _log_chance(self, key: Key, place: int) -> float:
        rows = self.tables[key]
        return log(fsum(row[place] for row in rows) / len(rows))

    def _state(self, spread: Spread, clue: Clue) -> str:
        return state_at(spread, self.board.point(clue.point_id), clue.kind)
