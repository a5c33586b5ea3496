"""Two machines on one PostgreSQL, one lost: ``manage.py drill machines``, short."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.drills.place import ROOT
from tests.shop.keeping.servers import Postgres


@pytest.mark.one_database
def test_one_machine_is_lost_and_the_other_goes_on(
    postgres: Postgres, tmp_path: Path
) -> None:
    """Who is signed in, counters, readings and letters; the jobs within the lease."""
    (tmp_path / "static").mkdir()
    with postgres.copy() as url:
        own = {
            "COLDRAIL_DATA": str(tmp_path),
            "COLDRAIL_PROFILE": "test",
            "DJANGO_SETTINGS_MODULE": "shop.settings",
            "DATABASE_URL": url,
        }
        done = subprocess.run(
            [sys.executable, "-m", "tests.drills.machines", "1", "9"],
            env=os.environ | own,
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        )
    assert done.returncode == 0, done.stderr
