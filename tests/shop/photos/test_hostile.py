"""Hostile files are refused or defused, within the memory and time that are said.

Each goes through the very call that the pages use; in place of its script stands one
that starts it and writes down what the kernel says of it (getrusage(2)).
"""

import importlib.util
import json
import sys
from io import BytesIO
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from PIL import Image

from shop.photos import aside, limits
from shop.records.errors import Refused

pytestmark = pytest.mark.one_database

MOST_RESIDENT = 300 * 1024  # KiB, as getrusage counts on Linux
WATCHED = """
import json, os, resource, subprocess, sys
done = subprocess.run([sys.executable, "-I", {script!r}, *sys.argv[1:]])
used = resource.getrusage(resource.RUSAGE_CHILDREN)
with open({log!r}, "a") as log:
    log.write(json.dumps([used.ru_maxrss, used.ru_utime + used.ru_stime]) + "\\n")
if done.returncode < 0:
    os.kill(os.getpid(), -done.returncode)
sys.exit(done.returncode)
"""


@pytest.fixture
def used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Where the memory and seconds of each decoding are written, line by line."""
    log, watched = tmp_path / "used", tmp_path / "watched.py"
    watched.write_text(WATCHED.format(script=str(aside.SCRIPT), log=str(log)))
    monkeypatch.setattr(aside, "SCRIPT", watched)
    return log


def hostile() -> ModuleType:
    """The corpus beside this file (test folders are no packages)."""
    path = Path(__file__).with_name("hostile.py")
    spec = importlib.util.spec_from_file_location("hostile", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["hostile"] = module
    spec.loader.exec_module(module)
    return module


def test_every_hostile_file_is_refused_or_defused(used: Path) -> None:
    corpus = hostile()
    files, wrong = corpus.everyone(), []
    assert len(files) >= 30
    for one in files:
        assert len(one.data) <= limits.MOST_BYTES, one.name
        wrong += [f"{one.name}: {what}" for what in faults(one, corpus)]
    assert not wrong, "\n".join(wrong)
    lines = [json.loads(line) for line in used.read_text().splitlines()]
    assert len(lines) == len(files)
    figures = {one.name: line for one, line in zip(files, lines, strict=True)}
    assert max(memory for memory, _seconds in lines) < MOST_RESIDENT, figures
    assert max(seconds for _memory, seconds in lines) < limits.MOST_SECONDS + 0.5


def faults(one: Any, corpus: ModuleType) -> list[str]:
    """What came out otherwise than the corpus says."""
    try:
        kept = aside.remake(one.data)
    except Refused as refused:
        is_so = one.size is None and str(refused) == str(aside.WHY[one.code])
        return [] if is_so else [str(refused)]
    if (kept.width, kept.height) != one.size:
        return [f"kept as {kept.width} by {kept.height}"]
    return leftovers(kept.full, corpus) + leftovers(kept.small, corpus)


def leftovers(made: bytes, corpus: ModuleType) -> list[str]:
    """Anything of the input but its pixels: metadata, texts, a tail, other formats."""
    image = Image.open(BytesIO(made), formats=["JPEG"])
    image.load()
    extras = {"exif", "icc_profile", "comment", "xmp", "photoshop", "adobe"}
    found = sorted(extras & set(image.info))
    found += ["exif"] if dict(image.getexif()) else []
    found += [] if made.endswith(b"\xff\xd9") else ["tail"]
    texts = (corpus.SECRET, corpus.SERIAL.encode(), b"GPS", b"<script", b"PK\x03\x04")
    found += [repr(text) for text in texts if text in made]
    segments = [made[n : n + 2] for n in range(len(made) - 4) if made[n] == 0xFF]
    found += ["APP1"] if b"\xff\xe1" in segments[:20] else []
    return found
