"""The key to the set-up: a link that ``manage.py serve`` prints, until a shop exists.

Only its hash is kept, in the data folder. A new link makes the last one void.
"""

import hashlib
import hmac
import secrets
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse

from shop.people.models import Shop
from shop.records import own_files
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
    own_files.put(_path(), hash_of(key).encode())
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
