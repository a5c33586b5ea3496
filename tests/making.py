"""What a run's tests copy, made beside its first steps.

``python -m tests.making FOLDER [URL]``, with the URL of a PostgreSQL server. What is
missing in the folder is otherwise made by the first test that asks for it, while the
other workers wait.
"""

import os
import sys
from pathlib import Path

import django

from tests import made_database


def main(folder: Path, postgres_urls: list[str]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    made_database.sqlite_file(folder)
    for url in postgres_urls:
        made_database.template(folder, url)
    tell_the_year(folder)


def tell_the_year(folder: Path) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    django.setup()
    from tests import told_year

    told_year.told(folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
