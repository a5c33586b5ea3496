"""The shop's logo: a PNG or JPEG taken apart and drawn anew, so that nothing but
its pixels is kept."""

import warnings
from datetime import datetime
from io import BytesIO
from typing import Any

from django.utils.translation import gettext as _
from PIL import Image, UnidentifiedImageError

from shop.people.models import Shop
from shop.records.errors import Refused

FORMATS = ("PNG", "JPEG")
MOST_BYTES = 2_000_000
MOST_PIXELS = 4_000_000
LARGEST = (1200, 600)  # 300 dots an inch on the paper's 100 x 50 mm


def encoded(body: bytes) -> bytes:
    """The picture as our own PNG; refused when it is none, or too large."""
    if len(body) > MOST_BYTES:
        raise Refused(_("The logo is larger than 2 MB."), field="logo")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(BytesIO(body), formats=FORMATS) as picture:
                if picture.width * picture.height > MOST_PIXELS:
                    raise Refused(
                        _("The logo has more than 4 million pixels."), field="logo"
                    )
                drawn = _plain(picture)
    except (UnidentifiedImageError, OSError, ValueError, *_BOMBS) as error:
        raise Refused(_("That is no PNG or JPEG picture."), field="logo") from error
    out = BytesIO()
    drawn.save(out, format="PNG", optimize=True)
    return out.getvalue()


_BOMBS: tuple[Any, ...] = (
    Image.DecompressionBombError,
    Image.DecompressionBombWarning,
    SyntaxError,  # what Pillow calls a broken PNG
)


def _plain(picture: Image.Image) -> Image.Image:
    """Pixels alone, on white, at most as large as a paper can show."""
    rgba = picture.convert("RGBA")
    rgba.thumbnail(LARGEST)
    drawn = Image.new("RGB", rgba.size, "white")
    drawn.paste(rgba, mask=rgba.getchannel("A"))
    return drawn


def logo_at(shop: Shop, when: datetime) -> bytes:
    """The logo that papers of ``when`` carry; no bytes where there is none."""
    row = shop.logos.filter(kept_at__lte=when).last()
    return b"" if row is None else bytes(row.png)
