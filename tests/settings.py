"""The project's settings in the test profile, also when pytest is started by hand."""

import os

os.environ.setdefault("COLDRAIL_PROFILE", "test")

from shop.settings import *  # noqa: F403  the profile is read on import

# As the browser tests call the shop, by its name on the network.
ALLOWED_HOSTS = [*ALLOWED_HOSTS, "coldrail.local"]  # noqa: F405
