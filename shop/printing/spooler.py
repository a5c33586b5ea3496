"""The server's print system (CUPS), by its own commands and never by a shell.

``lpstat -e`` lists the printers, ``lp`` takes a paper and names its request,
``lpstat -W not-completed -o`` says which requests still wait (CUPS manual pages).
"""

import os
import re
import shutil
import subprocess

from django.utils.translation import gettext as _

SECONDS = 10
REQUEST = re.compile(r"request id is (\S+-\d+)")
A_NAME = re.compile(r"\w[\w.@+=:-]{0,126}")


class CantPrint(Exception):
    """The print system is not there, or says why it does not take this."""


def printers() -> tuple[str, ...]:
    """The names of the printers that this server can reach."""
    listed = _run(["lpstat", "-e"]).split("\n")
    return tuple(name for name in listed if A_NAME.fullmatch(name))


def hand_over(body: bytes, *, printer: str, title: str, media: str) -> str:
    """Give a PDF to the print system; the name of the request that it became."""
    if printer not in printers():
        raise CantPrint(_("There is no printer %(name)s.") % {"name": printer})
    options = ["-o", f"media={media}", "-o", "print-scaling=none"]
    said = _run(["lp", "-d", printer, "-t", title, *options, "-"], body)
    found = REQUEST.search(said)
    if found is None:
        raise CantPrint(said.strip() or _("The print system did not answer."))
    return found[1]


def unprinted(printer: str) -> frozenset[str]:
    """The requests that this printer has not finished."""
    said = _run(["lpstat", "-W", "not-completed", "-o", printer])
    return frozenset(line.split()[0] for line in said.splitlines() if line.strip())


def _run(command: list[str], body: bytes | None = None) -> str:
    program = shutil.which(command[0])
    if program is None:
        raise CantPrint(_("This server has no print system (CUPS)."))
    try:
        done = subprocess.run(  # noqa: S603  no shell; names come from lpstat
            [program, *command[1:]],
            input=body if body is not None else b"",
            capture_output=True,
            timeout=SECONDS,
            env={**os.environ, "LC_ALL": "C"},
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        said = _("No answer from %(program)s in %(seconds)d s.")
        of_it = {"program": command[0], "seconds": SECONDS}
        raise CantPrint(said % of_it) from error
    if done.returncode:
        raise CantPrint(done.stderr.decode(errors="replace").strip()[:200])
    return done.stdout.decode(errors="replace")
