"""The predictions of each board model: made once, kept in files, held in memory.

Making them takes seconds, so no page waits for it: ``model_for`` answers ``None``
while another process makes them. A file is named by the content of the family with
its patches and by the code that predicts, so that a stale one is never read.
"""

import fcntl
import hashlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path
from time import monotonic

from django.conf import settings

from diagnostics.engine import circuit
from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.kept import keep, kept
from diagnostics.engine.circuit.predict import predict
from diagnostics.engine.models import Model, model_of

ASIDE, HERE, NEVER = "aside", "here", "never"
HELD = 8  # models of a process: some 40 MB each
KEY_LENGTH = 32
AGAIN_AFTER = 60.0  # seconds after which another process is started for the same
_models: dict[str, Model] = {}
_started: dict[str, float] = {}


def model_for(board: Board) -> Model | None:
    """What is known beforehand of a board's model; ``None`` while it is made, or
    where its family has no circuit."""
    if board.family.circuit is None or settings.CLOUDS == NEVER:
        return None
    key = key_of(board)
    if not path_of(key).exists():
        if settings.CLOUDS == ASIDE:
            start_aside(key)
            return None
        make(board, waits=True)
    return replace(_model(key, plain(board)), board=board)


def plain(board: Board) -> Board:
    """The board with all that its family fits: one model serves all its boards."""
    return Board(board.family, board.family.not_fitted)


def _model(key: str, board: Board) -> Model:
    if key not in _models:
        while len(_models) >= HELD:
            _models.pop(next(iter(_models)))
        _models[key] = model_of(board, kept(path_of(key)))
    return _models[key]


def make(board: Board, *, waits: bool = False) -> bool:
    """Make the predictions of a board's model, unless they are there or being made.

    ``waits``: not before another process that makes them is done.
    """
    board = plain(board)
    key = key_of(board)
    with _alone(key, waits=waits) as is_alone:
        if not is_alone or path_of(key).exists():
            return False
        folder().mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=folder(), suffix=".npz")
        os.close(handle)
        keep(predict(board, settings.CLOUD_BOARDS), Path(name))
        Path(name).replace(path_of(key))
    return True


def start_aside(key: str = "") -> None:
    """Let another process make what is missing; the same is not asked twice."""
    now = monotonic()
    if now - _started.get(key, -AGAIN_AFTER) < AGAIN_AFTER:
        return
    _started[key] = now
    subprocess.Popen(  # noqa: S603  our own command, nothing of it from outside
        [sys.executable, str(settings.BASE_DIR / "manage.py"), "clouds"],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def sweep(wanted: Collection[str]) -> None:
    """Remove what no board model reads any more: old families, patches and code."""
    for path in folder().glob("*.*"):
        if len(path.stem) == KEY_LENGTH and path.stem not in wanted:
            path.unlink(missing_ok=True)


# --- files --------------------------------------------------------------------


def folder() -> Path:
    return Path(settings.CLOUDS_DIR)


def path_of(key: str) -> Path:
    return folder() / f"{key}.npz"


def key_of(board: Board) -> str:
    family = board.family
    told = f"{family.hash} {family.patched} {settings.CLOUD_BOARDS} {code()}"
    return hashlib.sha256(told.encode()).hexdigest()[:KEY_LENGTH]


@cache
def code() -> str:
    """The content of the code that predicts."""
    digest = hashlib.sha256()
    for file in sorted(Path(circuit.__path__[0]).glob("*.py")):
        digest.update(file.read_bytes())
    return digest.hexdigest()


@contextmanager
def _alone(key: str, *, waits: bool) -> Iterator[bool]:
    """Whether no other process makes the same; the system lets go of the lock."""
    folder().mkdir(parents=True, exist_ok=True)
    with (folder() / f"{key}.lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
        except OSError:
            yield False
            return
        yield True
