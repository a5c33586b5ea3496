"""Shares of faults -> ranked suspects, each with what speaks of it. PURE."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from diagnostics.engine.asks import Outlook
from diagnostics.engine.assessment import Key, Suspect
from diagnostics.engine.circuit.parts import split
from diagnostics.engine.explain import Explainer
from diagnostics.engine.models import Model
from diagnostics.engine.naming import WORTH_A_LOOK, Name, alike_with, names
from diagnostics.engine.pairs import Posterior

EXPLAINED = 6  # suspects whose readings are told
ALIKE_ENOUGH = 1 / 3  # of the leading fault's likelihood (judgement)
HIGH_RISK = "high"


@dataclass(frozen=True)
class Suspecting:
    """Who is suspected, and how sure that is."""

    model: Model
    found: Posterior
    outlook: Outlook
    explainer: Explainer

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """Every possible way of failing, likeliest first; but no part of high risk is
        named first while one of less explains the same readings about as well."""
        shares = self._shares
        possible = [key for key in shares if shares[key] > 0]
        ranked = self._careful(sorted(possible, key=lambda key: (-shares[key], key)))
        return tuple(
            self._explained(key) if place < EXPLAINED else self._plain(key)
            for place, key in enumerate(ranked)
        )

    @property
    def confidence(self) -> float:
        """That the first, or a part that no open check tells from it, is right; of
        no fault where that is likelier than the first."""
        no_fault = float(self.found.shares[0])
        if not self.suspects:
            return no_fault
        first = self.suspects[0]
        of_first = self._of_part.get(first.part_id, 0.0)
        if no_fault > of_first:
            return no_fault
        return of_first + sum(self._of_part[part] for part in first.alike)

    @property
    def first(self) -> float:
        """The probability of the part that would be named, or of no fault."""
        return max(one.probability for one in self._names)

    # --- shares

    @cached_property
    def _shares(self) -> dict[Key, float]:
        """By way of failing; a pair counts half to each of its two."""
        sums: dict[Key, float] = {}
        pairs = zip(self.found.pairs.rows, self.found.of_pairs.tolist(), strict=True)
        halves = [(row, share / 2) for rows, share in pairs for row in rows]
        for row, share in (*enumerate(self.found.shares.tolist()), *halves):
            part, mode, _place = split(self.model.faults[row])
            if part:
                sums[part, mode] = sums.get((part, mode), 0.0) + share
        return sums

    @cached_property
    def _names(self) -> list[Name]:
        return names(self.model.faults, self.found.shares)

    @cached_property
    def _of_part(self) -> dict[str, float]:
        return {name.part: name.probability for name in self._names}

    def _careful(self, ranked: list[Key]) -> list[Key]:
        parts = self.model.board.parts
        if not ranked or parts[ranked[0][0]].risk != HIGH_RISK:
            return ranked
        least = ALIKE_ENOUGH * self._likelihood(ranked[0])
        lower = (key for key in ranked if parts[key[0]].risk != HIGH_RISK)
        first = next(
            (k for k in lower if self._shares[k] > 0 and self._likelihood(k) >= least),
            ranked[0],
        )
        return [first, *(key for key in ranked if key != first)]

    def _likelihood(self, key: Key) -> float:
        return float(np.max(self.found.likelihoods[self.model.rows_of[key]]))

    # --- one suspect

    def _plain(self, key: Key) -> Suspect:
        row = self._likeliest_row(key)
        return Suspect(*key, split(self.model.faults[row]).place, self._shares[key])

    def _explained(self, key: Key) -> Suspect:
        row = self._likeliest_row(key)
        speaks, against = self.explainer.speaking(row)
        place = split(self.model.faults[row]).place
        return Suspect(
            *key, place, self._shares[key], speaks, against, self._alike(key[0])
        )

    def _likeliest_row(self, key: Key) -> int:
        rows = self.model.rows_of[key]
        return max(rows, key=lambda row: float(self.found.shares[row]))

    def _alike(self, part: str) -> tuple[str, ...]:
        first = Name(part, self._of_part[part])
        if first.probability <= WORTH_A_LOOK:
            return ()
        alike = alike_with(first, self._names, self.model.faults, self.outlook)
        return tuple(name.part for name in alike if name.part)
