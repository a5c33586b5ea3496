"""Files that nobody but the house may read."""

import os
from pathlib import Path

ONLY_OURS = 0o600


def put(path: Path, content: bytes) -> None:
    """Whole or not at all, and readable by us alone from its first byte."""
    draft = path.with_name(f"{path.name}.new")
    draft.unlink(missing_ok=True)
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, ONLY_OURS)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)
