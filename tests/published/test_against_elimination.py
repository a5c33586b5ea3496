"""The discretised network with its hidden board, against pgmpy's elimination.

Issue: equal to 1e-9. Random networks of the engine's form, and the small family's
own predictions in the bins that the engine itself asks by.
"""

from collections.abc import Iterator

import numpy as np
import pytest

from diagnostics.engine import discrete
from diagnostics.engine.boards import board_of, load_family_text
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import predict
from diagnostics.engine.histograms import histograms_of
from diagnostics.engine.kernels import kernels
from diagnostics.engine.priors import priors
from diagnostics.engine.weigh import MISSED
from tests.engine.made_up import table_of
from tests.engine.small_board import WITH_CIRCUIT
from tests.published.elimination import eliminated, eliminator

pytestmark = pytest.mark.long

NETWORKS, EVIDENCE_SETS = 60, 4  # 240 posteriors
SAME = 1e-9


def random_tables(chance: np.random.Generator) -> tuple[Floats, list[Floats]]:
    """2 to 7 faults on 1 to 6 boards; checks of 2 to 5 answers, one in three of
    them impossible here and there."""
    faults, boards = chance.integers(2, 8), chance.integers(1, 7)
    tables = []
    for _check in range(chance.integers(2, 6)):
        answers = chance.integers(2, 6)
        table = chance.dirichlet(np.ones(answers), (faults, boards))
        if chance.random() < 1 / 3:
            table[chance.random(table.shape) < 0.2] = 0
            table[:, :, 0] += table.sum(axis=2) == 0
            table /= table.sum(axis=2, keepdims=True)
        tables.append(table.transpose(0, 2, 1))
    return chance.dirichlet(np.ones(faults)), tables


def sampled(
    chance: np.random.Generator, shares: Floats, tables: list[Floats]
) -> dict[int, int]:
    """Answers that a board gives, to some of the checks; never impossible ones."""
    fault = chance.choice(len(shares), p=shares)
    board = chance.integers(tables[0].shape[2])
    read = chance.permutation(len(tables))[: chance.integers(1, len(tables) + 1)]
    return {
        int(n): int(chance.choice(tables[n].shape[1], p=tables[n][fault, :, board]))
        for n in read
    }


def posteriors(seed: int) -> Iterator[tuple[Floats, Floats, Floats, Floats]]:
    """By network and evidence: ours and the library's, of faults and of fault and
    board together."""
    chance = np.random.default_rng(seed)
    shares, tables = random_tables(chance)
    elimination = eliminator(shares, tables)
    for _set in range(EVIDENCE_SETS):
        answers = sampled(chance, shares, tables)
        ours, boards = discrete.posterior(
            shares, [(tables[n], answer) for n, answer in answers.items()]
        )
        both = eliminated(elimination, ["fault", "board"], answers)
        yield ours, both.sum(axis=1), ours[:, None] * boards, both


@pytest.mark.parametrize("seed", range(NETWORKS))
def test_random_networks(seed: int) -> None:
    for ours, theirs, ours_both, theirs_both in posteriors(seed):
        np.testing.assert_allclose(ours, theirs, rtol=0, atol=SAME)
        np.testing.assert_allclose(ours_both, theirs_both, rtol=0, atol=SAME)


# --- the small family -------------------------------------------------------------


@pytest.fixture(scope="module")
def small() -> tuple[Floats, list[Floats]]:
    """Priors and the tables of all its checks, on 12 virtual boards."""
    board = board_of(load_family_text(WITH_CIRCUIT, "small.toml"))
    predictions = predict(board, 12)
    tables = [table_of(one) for one in histograms_of(kernels(predictions), MISSED)]
    return priors(board, predictions.faults, 0.1), tables


def test_the_small_familys_predictions(small: tuple[Floats, list[Floats]]) -> None:
    shares, tables = small
    elimination = eliminator(shares, tables)
    chance = np.random.default_rng(11)
    for _board in range(24):
        answers = sampled(chance, shares, tables)
        ours, boards = discrete.posterior(
            shares, [(tables[n], answer) for n, answer in answers.items()]
        )
        theirs = eliminated(elimination, ["fault", "board"], answers)
        np.testing.assert_allclose(ours[:, None] * boards, theirs, rtol=0, atol=SAME)


def test_what_a_check_is_foretold_to_read(small: tuple[Floats, list[Floats]]) -> None:
    """The mixture that the ranking of checks rests on: P(next answer | answers)."""
    shares, tables = small
    elimination = eliminator(shares, tables)
    chance = np.random.default_rng(5)
    for _board in range(6):
        answers = sampled(chance, shares, tables)
        open_checks = [n for n in range(len(tables)) if n not in answers]
        ours, boards = discrete.posterior(
            shares, [(tables[n], answer) for n, answer in answers.items()]
        )
        for n in open_checks[:2]:
            theirs = eliminated(elimination, [f"check{n}"], answers)
            mixture = ours @ discrete.foretold(tables[n], boards)
            np.testing.assert_allclose(mixture, theirs, rtol=0, atol=SAME)
