"""``python -m tests.shop.keeping.onto_made DUMP restore ...``, as a shop's own command.

Only the tables of an empty PostgreSQL come out of a dump before it is migrated.
"""

import sys
from pathlib import Path
from unittest.mock import patch

import django
from django.core.management import execute_from_command_line


def main() -> None:
    django.setup()
    from shop.keeping import restoring
    from tests.shop.keeping.servers import filling

    dump = Path(sys.argv.pop(1))
    with patch.object(restoring, "call_command", filling(dump)):
        execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
