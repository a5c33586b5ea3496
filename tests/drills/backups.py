"""Backups that were changed: every one is refused, and says so plainly.

A backup of the connected database and some files; then, again and again, a copy of
it with one thing wrong: a bit, a byte, a piece cut out, doubled, swapped or put in,
the end cut off, something added behind it.
"""

import random
import tempfile
from pathlib import Path

from tests.drills.place import Result

WAYS = (
    *("bit", "byte", "cut off", "left out"),
    *("doubled", "swapped", "added", "overwritten"),
)


def corrupted(whole: bytes, way: str, chance: random.Random) -> bytes:
    """The same with one thing wrong; never the same bytes."""
    from shop.keeping.sealed import CHUNK, HEAD_BYTES, TAG_BYTES

    at = chance.randrange(len(whole))
    end = min(len(whole), at + chance.randint(1, 5000))
    piece, one = whole[at:end], whole[at : at + 1]
    step = CHUNK + TAG_BYTES
    if way == "cut off":
        edges = range(HEAD_BYTES, len(whole), step)
        return whole[: chance.choice([at, *edges])]
    if way == "swapped":
        first, second = whole[HEAD_BYTES:][:step], whole[HEAD_BYTES + step :][:step]
        return whole[:HEAD_BYTES] + second + first + whole[HEAD_BYTES + 2 * step :]
    gone, come = {
        "bit": (one, changed(one, 1 << chance.randrange(8))),
        "byte": (one, changed(one, chance.randint(1, 255))),
        "left out": (piece, b""),
        "doubled": (piece, piece + piece),
        "added": (b"", chance.randbytes(len(piece))),
        "overwritten": (piece, changed(piece, chance.randint(1, 255))),
    }[way]
    return whole[:at] + come + whole[at + len(gone) :]


def changed(piece: bytes, mask: int) -> bytes:
    return bytes(byte ^ mask for byte in piece)


def run(seed: int, rounds: int) -> Result:
    from django.test import override_settings

    from shop.keeping import backups, recovery
    from shop.keeping.sealed import CHUNK
    from tests.drills.scene import shop_and_person

    chance, lost = random.Random(seed), list[str]()
    shop_and_person()
    with tempfile.TemporaryDirectory(prefix="coldrail-drill-") as name:
        folder = Path(name)
        own = {"DATA_DIR": folder, "BACKUP_DIR": "", "BACKUP_KEY": ""}
        files = folder / "files"
        with override_settings(
            **own, BACKUP_KEYS=folder / "keys", MEDIA_ROOT=str(files)
        ):
            files.mkdir()
            (files / "photo.jpg").write_bytes(chance.randbytes(2 * CHUNK))
            recovery.key_make(is_told=True)
            made = backups.backup_make()
            whole = made.file.read_bytes()
            for number in range(rounds):
                way = WAYS[number % len(WAYS)]
                made.file.write_bytes(corrupted(whole, way, chance))
                if not is_refused(made.file):
                    lost.append(f"{number}: {way} was not seen")
            made.file.write_bytes(whole)
            if is_refused(made.file):
                lost.append("the whole one is refused")
    counts = {"changed copies": rounds, "kinds of change": len(WAYS)}
    return Result("backups", counts, tuple(lost))


def is_refused(file: Path) -> bool:
    from shop.keeping import backups
    from shop.records.errors import Refused

    try:
        backups.backup_check(file)
    except Refused:
        return True
    return False
