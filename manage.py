#!/usr/bin/env python3
"""Coldrail's commands; ``shop/bootstrap.py`` makes their environment first."""

import os
import sys

from shop.bootstrap import open_door


def main() -> None:
    open_door(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as reason:
        sys.exit(f"\n{reason}")


if __name__ == "__main__":
    main()
