"""The key to the set-up: a link that ``manage.py serve`` prints, until a shop exists.

Only its hash is kept, in the data folder. A new link makes the last one void.
"""

import hashlib
import hmac
import os
import secrets
import stat
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from shop.people.models import Shop
from shop.records.cache import cache

HELD = "first_key"
EXISTS = "a_shop_exists"


def first_link(base: str) -> str:
    """A link to the set-up with a new key, or nothing where a shop exists.

    ``base`` is the address that people reach us by, such as
    ``https://bench.local:8443``.
    """
    if Shop.objects.exists():
        return ""
    key = secrets.token_urlsafe(32)
    _write(hash_of(key))
    return f"{base.rstrip('/')}{reverse('opening:set_up')}?key={key}"


def shop_exists() -> bool:
    """Asked at every request until the answer is yes, and never again."""
    if cache.get(EXISTS):
        return True
    found = Shop.objects.exists()
    if found:
        cache.set(EXISTS, True, None)
    return found


def take(request: HttpRequest, key: str) -> bool:
    """Let this browser in, if the key fits; it holds the key from then on."""
    if not _fits(hash_of(key)):
        return False
    request.session.cycle_key()
    request.session[HELD] = hash_of(key)
    return True


def is_held(request: HttpRequest) -> bool:
    return _fits(request.session.get(HELD, ""))


def hash_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


def discard() -> None:
    _path().unlink(missing_ok=True)


def _fits(digest: str) -> bool:
    try:
        kept = _path().read_text().strip()
    except FileNotFoundError:
        return False
    return bool(kept) and hmac.compare_digest(kept, digest)


def _path() -> Path:
    return Path(settings.DATA_DIR) / "first_key"


def _write(digest: str) -> None:
    """Readable by us alone from its first moment on."""
    path = _path()
    draft = path.with_suffix(".new")
    draft.unlink(missing_ok=True)
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL
    with os.fdopen(os.open(draft, flags, stat.S_IRUSR | stat.S_IWUSR), "w") as file:
        file.write(digest)
    draft.replace(path)
