"""Predictions in one file: what a fault leaves as on a good board is left out. PURE.

Means and blurs are kept in single precision: a millionth is far below any meter.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from diagnostics.engine.circuit.answers import Chances
from diagnostics.engine.circuit.fitted import Wants
from diagnostics.engine.circuit.predict import Predictions

SINGLE = np.float32


def keep(predictions: Predictions, path: Path) -> None:
    """Write predictions to a file."""
    changed = _changed(predictions)
    arrays = {
        "good_means": predictions.means[0].astype(SINGLE),
        "good_blurs": predictions.blurs[0].astype(SINGLE),
        "changed": changed,
        "means": predictions.means[changed].astype(SINGLE),
        "blurs": predictions.blurs[changed].astype(SINGLE),
        "touched": np.packbits(predictions.touched[changed], axis=-1),
    }
    for number, chances in enumerate(predictions.answers.values()):
        arrays[f"answers_{number}"] = chances.shares.astype(SINGLE)
    head = np.frombuffer(json.dumps(_head(predictions)).encode(), dtype=np.uint8)
    with path.open("wb") as file:
        np.savez_compressed(file, head=head, **arrays)


def kept(path: Path) -> Predictions:
    """Read predictions from a file that ``keep`` wrote."""
    with np.load(path, allow_pickle=False) as file:
        head = json.loads(file["head"].tobytes())
        changed = file["changed"]
        boards = file["good_means"].shape[-1]
        means = np.tile(file["good_means"].astype(float), (len(changed), 1, 1))
        blurs = np.tile(file["good_blurs"].astype(float), (len(changed), 1, 1))
        means[changed], blurs[changed] = file["means"], file["blurs"]
        touched = np.zeros(means.shape, dtype=np.bool_)
        touched[changed] = np.unpackbits(file["touched"], axis=-1, count=boards)
        answers = {
            point: Chances(tuple(names), file[f"answers_{number}"].astype(float))
            for number, (point, names) in enumerate(head["answers"].items())
        }
    return Predictions(
        faults=tuple((part, way) for part, way in head["faults"]),
        points=tuple(head["points"]),
        modes=tuple(head["modes"]),
        means=means,
        blurs=blurs,
        touched=touched,
        answers=answers,
        wants={point: _wants(one) for point, one in head["wants"].items()},
    )


def _changed(predictions: Predictions) -> Any:
    """(faults, points): where any board reads otherwise than without the fault."""
    moved = ~np.isclose(
        predictions.means, predictions.means[:1], rtol=1e-7, atol=0, equal_nan=True
    )
    blurred = predictions.blurs != predictions.blurs[:1]
    return (moved | blurred | predictions.touched).any(axis=-1)


def _head(predictions: Predictions) -> dict[str, Any]:
    return {
        "faults": predictions.faults,
        "points": predictions.points,
        "modes": predictions.modes,
        "answers": {point: one.names for point, one in predictions.answers.items()},
        "wants": {
            point: [
                sorted(one.must_be_in),
                sorted(one.must_be_out),
                sorted(one.matters),
            ]
            for point, one in predictions.wants.items()
        },
    }


def _wants(told: list[list[str]]) -> Wants:
    must_be_in, must_be_out, matters = (frozenset(one) for one in told)
    return Wants(must_be_in, must_be_out, matters)
