"""A picture made anew shows what the one sent showed, and nothing else of it."""

import io

import pytest
from PIL import Image, ImageOps

from shop.photos import aside, limits, remake

pytestmark = pytest.mark.one_database

LIMITS = aside.LIMITS


def made(image: Image.Image, kind: str = "PNG", **options: object) -> Image.Image:
    file = io.BytesIO()
    image.save(file, kind, **options)
    file.seek(0)
    _head, full, _small = remake.remade(file, LIMITS)
    return Image.open(io.BytesIO(full))


def quarters() -> Image.Image:
    """Four colours, by which each way of holding a camera is known."""
    image = Image.new("RGB", (64, 32))
    for n, colour in enumerate(["red", "lime", "blue", "white"]):
        image.paste(colour, (32 * (n % 2), 16 * (n // 2), 32 * (n % 2) + 32, 32))
    return image


@pytest.mark.parametrize("held", range(1, 9))
def test_it_stands_upright_as_pillow_itself_turns_it(held: int) -> None:
    """Against ``ImageOps.exif_transpose``, the reference for EXIF 2.3, tag 0x0112."""
    exif = Image.Exif()
    exif[0x0112] = held
    file = io.BytesIO()
    quarters().save(file, "PNG", exif=exif)
    upright = ImageOps.exif_transpose(Image.open(file))
    ours = made(quarters(), exif=exif)
    assert ours.size == upright.size
    for x, y in ((4, 4), (-5, 4), (4, -5), (-5, -5)):
        at = (x % ours.width, y % ours.height)
        assert near(ours.getpixel(at), upright.convert("RGB").getpixel(at))


def near(one: object, two: object, most: int = 12) -> bool:
    assert isinstance(one, tuple)
    assert isinstance(two, tuple)
    return all(abs(a - b) <= most for a, b in zip(one, two, strict=True))


def test_sixteen_bits_become_eight_and_not_white() -> None:
    half = Image.new("I;16", (32, 32), 32_768)
    assert near(made(half).getpixel((9, 9)), (128, 128, 128), 2)


def test_what_was_transparent_is_white() -> None:
    assert near(made(Image.new("RGBA", (32, 32))).getpixel((9, 9)), (255, 255, 255))
    palette = Image.new("P", (32, 32))
    palette.putpalette([9, 9, 9] * 256)
    shown = made(palette, transparency=0)
    assert near(shown.getpixel((9, 9)), (255, 255, 255))


def test_a_large_one_is_brought_down_by_a_whole_factor() -> None:
    size = (limits.KEPT_EDGE * 2 + 2, 300)
    shown = made(Image.new("RGB", size, (200, 10, 10)))
    assert shown.size == (2732, 100)
    assert near(shown.getpixel((50, 50)), (200, 10, 10))


def test_the_small_picture_is_small() -> None:
    file = io.BytesIO()
    Image.new("RGB", (3000, 2000)).save(file, "JPEG")
    _head, _full, small = remake.remade(file, LIMITS)
    assert Image.open(io.BytesIO(small)).size == (360, 240)
    assert len(small) < 20_000


def test_the_limits_are_those_that_are_written_down() -> None:
    """ASVS 5.0.0, 5.1.1: types, sizes and pixels as documented."""
    assert set(LIMITS["pixels"]) == {"JPEG", "PNG", "WEBP"}
    assert LIMITS["pixels"]["JPEG"] == 50_000_000
    assert limits.MOST_BYTES == 25_000_000
    assert LIMITS["memory"] < 300 * 1024 * 1024
    assert LIMITS["seconds"] == 2
