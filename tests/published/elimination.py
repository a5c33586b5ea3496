"""The reference library: variable elimination in pgmpy, on the same tables.

fault and board are nodes without parents, every check hangs on both.
"""

import warnings
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from diagnostics.engine.circuit.newton import Floats


@lru_cache(maxsize=1)
def library() -> tuple[Any, Any, Any]:
    """Network, table and elimination; it takes seconds, and warns of its own plans."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork
    return DiscreteBayesianNetwork, TabularCPD, VariableElimination


def eliminator(priors: Floats, tables: Iterable[Floats]) -> Any:
    """Tables (faults, answers, boards), each column a distribution; one by one,
    since with pairs of faults they are large."""
    network_of, table_of, elimination_of = library()
    faults, boards = len(priors), 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        network = network_of()
        for n, table in enumerate(tables):
            check, answers, boards = f"check{n}", *table.shape[1:]
            network.add_edges_from([("fault", check), ("board", check)])
            columns = table.transpose(1, 0, 2).reshape(answers, -1)
            of = (["fault", "board"], [faults, boards])
            network.add_cpds(table_of(check, answers, columns, *of))
        network.add_cpds(
            table_of("fault", faults, priors[:, None]),
            table_of("board", boards, [[1 / boards]] * boards),
        )
        assert network.check_model()
        return elimination_of(network)


def eliminated(
    elimination: Any, variables: Sequence[str], answers: Mapping[int, int]
) -> Floats:
    """P(variables | answers by number of check), an axis for each variable."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        found = elimination.query(
            list(variables),
            evidence={f"check{n}": answer for n, answer in answers.items()},
            show_progress=False,
        )
    order = [found.variables.index(one) for one in variables]
    return np.transpose(found.values, order)
