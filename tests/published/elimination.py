"""The reference library: variable elimination in pgmpy, on the same tables.

fault and board are nodes without parents, every check hangs on both.
"""

import warnings
from collections.abc import Mapping, Sequence
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


def eliminator(priors: Floats, tables: Sequence[Floats]) -> Any:
    """Tables (faults, answers, boards), each column a distribution."""
    network_of, table_of, elimination_of = library()
    faults, boards = len(priors), tables[0].shape[2]
    checks = [f"check{n}" for n in range(len(tables))]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        network = network_of(
            [(parent, check) for check in checks for parent in ("fault", "board")]
        )
        network.add_cpds(
            table_of("fault", faults, priors[:, None]),
            table_of("board", boards, [[1 / boards]] * boards),
            *(
                table_of(
                    check,
                    table.shape[1],
                    table.transpose(1, 0, 2).reshape(table.shape[1], -1),
                    ["fault", "board"],
                    [faults, boards],
                )
                for check, table in zip(checks, tables, strict=True)
            ),
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
