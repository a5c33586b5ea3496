"""Predictions written to a file and read again."""

from pathlib import Path

import numpy as np
import pytest

from diagnostics.engine.circuit.kept import keep, kept
from tests.engine.shop_models import model


@pytest.mark.parametrize("family", ["laptop_barrel", "desktop_atx"])
def test_what_is_read_is_what_was_kept(family: str, tmp_path: Path) -> None:
    made = model(family).kernels.predictions
    keep(made, tmp_path / "made.npz")
    read = kept(tmp_path / "made.npz")
    assert (read.faults, read.points, read.modes) == (
        made.faults,
        made.points,
        made.modes,
    )
    assert np.allclose(read.means, made.means, rtol=1e-6, atol=0, equal_nan=True)
    assert np.allclose(read.blurs, made.blurs, rtol=1e-6)
    assert (read.touched == made.touched).all()
    assert read.wants == made.wants
    assert read.answers.keys() == made.answers.keys()
    for point, one in made.answers.items():
        assert read.answers[point].names == one.names
        assert np.allclose(read.answers[point].shares, one.shares, rtol=1e-6)


def test_most_of_it_is_left_out(tmp_path: Path) -> None:
    made = model("laptop_barrel").kernels.predictions
    keep(made, tmp_path / "made.npz")
    whole = made.means.nbytes + made.blurs.nbytes + made.touched.nbytes
    assert (tmp_path / "made.npz").stat().st_size < whole / 10
