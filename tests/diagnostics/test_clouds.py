"""The predictions of board models: made once, aside, kept in files."""

import fcntl
from functools import cache
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from django.core.management import call_command

from diagnostics import clouds, clouds_of_models
from diagnostics.engine.boards import Board, Patch, board_of, load_family
from diagnostics.engine.circuit.predict import Predictions, predict
from diagnostics.models import BoardModel
from shop.people.models import Shop

PLAIN = board_of(load_family("laptop_barrel"))
VIRTUAL_BOARDS = 4


@cache
def predicted() -> Predictions:
    return predict(PLAIN, VIRTUAL_BOARDS)


def predict_once(board: Board, boards: int) -> Predictions:
    """The files are what is tested here: what is in them is worked out once."""
    is_plain = clouds.key_of(board) == clouds.key_of(PLAIN)
    assert is_plain
    assert boards == VIRTUAL_BOARDS
    return predicted()


@pytest.fixture
def aside(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(clouds, "predict", predict_once)
    settings.CLOUDS, settings.CLOUD_BOARDS = clouds.ASIDE, VIRTUAL_BOARDS
    settings.CLOUDS_DIR = tmp_path / "clouds"
    return tmp_path / "clouds"


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The processes that would have been started; what was held is forgotten."""
    found: list[list[str]] = []
    process = "diagnostics.clouds.subprocess.Popen"
    monkeypatch.setattr(process, lambda args, **_kw: found.append(args))
    monkeypatch.setattr(clouds, "_started", {})
    monkeypatch.setattr(clouds, "_models", {})
    return found


def test_a_page_waits_for_none_and_asks_once(
    aside: Path, started: list[list[str]]
) -> None:
    assert clouds.model_for(PLAIN) is None
    assert clouds.model_for(PLAIN) is None
    assert [args[-1] for args in started] == ["clouds"]
    assert clouds.make(PLAIN)
    model = clouds.model_for(PLAIN)
    assert model is not None
    assert model.kernels.predictions.means.shape[2] == 4
    assert len(started) == 1


def test_what_a_board_lacks_needs_no_other_predictions(
    aside: Path, started: list[list[str]]
) -> None:
    clouds.make(PLAIN)
    bare = Board(PLAIN.family, frozenset({"graphics"}))
    model = clouds.model_for(bare)
    assert model is not None
    assert model.board is bare
    assert len(list(aside.glob("*.npz"))) == 1


def test_another_family_patch_or_code_has_another_file(
    aside: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ddr3 = board_of(PLAIN.family, [Patch("variants.memory", "ddr3")])
    keys = {clouds.key_of(PLAIN), clouds.key_of(ddr3)}
    monkeypatch.setattr(clouds, "code", lambda: "other")
    keys |= {clouds.key_of(PLAIN), clouds.key_of(ddr3)}
    assert len(keys) == 4


def test_two_processes_never_make_the_same(aside: Path) -> None:
    aside.mkdir(parents=True)
    with (aside / f"{clouds.key_of(PLAIN)}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        assert not clouds.make(PLAIN)
    assert clouds.make(PLAIN)
    assert not clouds.make(PLAIN)
    assert not [one for one in aside.iterdir() if one.name.startswith("tmp")]


def test_who_needs_them_here_waits_for_another_process(aside: Path) -> None:
    aside.mkdir(parents=True)
    made: list[bool] = []
    waiting = Thread(target=lambda: made.append(clouds.make(PLAIN, waits=True)))
    with (aside / f"{clouds.key_of(PLAIN)}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        waiting.start()
        waiting.join(0.2)
        assert waiting.is_alive()
        clouds.path_of(clouds.key_of(PLAIN)).touch()
    waiting.join(60)
    assert made == [False]


def test_where_nobody_makes_them_nothing_is_said(
    settings: Any, started: list[list[str]]
) -> None:
    settings.CLOUDS = clouds.NEVER
    assert clouds.model_for(PLAIN) is None
    assert started == []


def test_few_models_are_held_at_once(
    aside: Path, started: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clouds, "HELD", 1)
    monkeypatch.setattr(clouds, "kept", lambda path: path)
    monkeypatch.setattr(clouds, "model_of", lambda _board, kept: kept)
    made: list[object] = [clouds._model(key, PLAIN) for key in ("one", "two")]
    assert made == [clouds.path_of("one"), clouds.path_of("two")]
    assert list(clouds._models) == ["two"]


def test_the_command_makes_those_of_every_board_model(
    aside: Path, heron: BoardModel, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("clouds")
    call_command("clouds")
    assert capsys.readouterr().out.count("HR-14-MB: ") == 1
    assert len(list(aside.glob("*.npz"))) == 1


def test_the_command_sweeps_what_nobody_reads_any_more(
    aside: Path, heron: BoardModel
) -> None:
    aside.mkdir(parents=True)
    old, being_made = aside / f"{'0' * 32}.npz", aside / "tmp1234.npz"
    for path in (old, being_made):
        path.touch()
    call_command("clouds")
    assert not old.exists()
    assert being_made.exists()
    assert len(list(aside.glob("*.npz"))) == 2


@pytest.mark.django_db
def test_the_job_has_missing_ones_made_aside(
    aside: Path, started: list[list[str]], hollin_lane: Shop
) -> None:
    BoardModel.objects.create(shop=hollin_lane, number="LB-1", family="laptop_barrel")
    clouds_of_models.job()
    assert [args[-1] for args in started] == ["clouds"]
    clouds.make(PLAIN)
    clouds._started.clear()
    clouds_of_models.job()
    assert len(started) == 1
