"""Becomes a command that ends with its parent: ``child.py PARENT COMMAND ...``.

Linux tells a process when its parent has died (``prctl``, PR_SET_PDEATHSIG);
the setting survives ``exec``. It is made here and not between fork and exec of
the parent, which has threads.
"""

import ctypes
import os
import signal
import sys

PR_SET_PDEATHSIG = 1


def die_with(parent: int) -> None:
    if sys.platform == "linux":
        libc = ctypes.CDLL(None, use_errno=True)
        libc.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
    if os.getppid() != parent:
        sys.exit("The process that started this one is gone.")


if __name__ == "__main__":
    die_with(int(sys.argv[1]))
    os.execv(sys.argv[2], sys.argv[2:])
