"""Forty hostile files, made here by code: each with what must become of it.

``refused``: not kept, with a reason. ``defused``: kept as a fresh JPEG of the expected
size in which nothing of the input's own bytes is left.
"""

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass

from PIL import Image, PngImagePlugin

SECRET = b"SECRET-TAIL-51.4778N"
SERIAL = "SN-CAMERA-88213"


@dataclass(frozen=True)
class Hostile:
    name: str
    data: bytes
    size: tuple[int, int] | None = None  # of the JPEG kept; None: refused
    code: str = "not_a_picture"


def noise(width: int = 320, height: int = 240) -> Image.Image:
    grey = Image.effect_noise((width, height), 60)
    return Image.merge("RGB", (grey, grey.transpose(Image.Transpose.ROTATE_180), grey))


def saved(image: Image.Image, kind: str, **options: object) -> bytes:
    file = io.BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def chunk(kind: bytes, data: bytes) -> bytes:
    crc = struct.pack(">I", zlib.crc32(kind + data))
    return struct.pack(">I", len(data)) + kind + data + crc


def png(
    width: int, height: int, *chunks: bytes, depth: int = 8, kind: int = 2
) -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(chunks) + chunk(b"IEND", b"")


def deflated_zeros(count: int) -> bytes:
    deflate = zlib.compressobj(9)
    block = bytes(1_000_000)
    parts = [deflate.compress(block) for _million in range(count // 1_000_000)]
    parts.append(deflate.compress(bytes(count % 1_000_000)))
    return b"".join([*parts, deflate.flush()])


def png_bomb(width: int, height: int) -> bytes:
    """Zeros that fill the declared size: tiny as a file, huge as a picture."""
    return png(width, height, chunk(b"IDAT", deflated_zeros(height * (1 + 3 * width))))


def jpeg_of_size(width: int, height: int) -> bytes:
    """A small JPEG whose header claims to be of another size."""
    data = bytearray(saved(noise(64, 64), "JPEG"))
    at = data.index(b"\xff\xc0") + 5
    data[at : at + 4] = struct.pack(">HH", height, width)
    return bytes(data)


def many_scans(count: int) -> bytes:
    """A progressive JPEG in which one scan is said over and over."""
    data = saved(Image.new("RGB", (4000, 3000)), "JPEG", progressive=True)
    starts = [n for n in range(len(data)) if data[n : n + 2] == b"\xff\xda"]
    last = data[starts[-1] : -2]
    return data[:-2] + last * count + data[-2:]


def with_metadata() -> bytes:
    exif = Image.Exif()
    exif[0x010F], exif[0x8825] = "Maker", {1: "N", 2: (51.0, 28.0, 40.1), 3: "W"}
    exif[0xA431] = SERIAL
    exif[0x0112] = 6
    xmp = b"<x:xmpmeta>" + SECRET + b"</x:xmpmeta>"
    return saved(
        noise(), "JPEG", exif=exif, xmp=xmp, icc_profile=b"ICC" + SECRET, comment=SECRET
    )


def apng() -> bytes:
    frames = [noise() for _frame in range(4)]
    return saved(frames[0], "PNG", save_all=True, append_images=frames[1:])


def animated_webp() -> bytes:
    frames = [noise() for _frame in range(4)]
    return saved(frames[0], "WEBP", save_all=True, append_images=frames[1:])


def png_with_text(size: int) -> bytes:
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "z" * size, zip=True)
    return saved(noise(), "PNG", pnginfo=text)


def gif_and_script() -> bytes:
    """Valid as a GIF and as JavaScript."""
    head = b"GIF89a/*" + b"\0" * 5
    return head + b"*/=1;alert(document.domain);/*" + b"\0" * 40 + b"*/;"


def zip_file() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("payload.html", SECRET)
    return file.getvalue()


def turned(orientation: int) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    return saved(noise(), "JPEG", exif=exif)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><script>alert(1)</script>"
PLAIN = saved(noise(), "JPEG")


def everyone() -> list[Hostile]:
    """All of them. The large ones take a second or two to make."""
    h = Hostile
    many, size = "too_many_pixels", (320, 240)
    return [
        # Bombs: pixels, scans, text, profiles.
        h("png of 144 MP", png_bomb(12_000, 12_000), code=many),
        h("png of 49 MP of zeros", png_bomb(7000, 7000), code=many),
        h("png of 24 MP of zeros", png_bomb(6000, 4000), (3000, 2000)),
        h("png, 60,000 wide", png_bomb(60_000, 20), code=many),
        h("png, header of 2^31", png(2**31 - 1, 2**31 - 1), code=many),
        h("png, header of 50 MP, no data", png(8000, 6000), code=many),
        h("png of 20 MP, no data", png(5000, 4000)),
        h("jpeg, header 65,500 square", jpeg_of_size(65_500, 65_500), code=many),
        h(
            "jpeg, header of 49 MP, data of 4 kP",
            jpeg_of_size(7000, 7000),
            (3500, 3500),
        ),
        h("jpeg, 3000 scans", many_scans(3000), code="too_slow"),
        h("jpeg, progressive, 37 MP", big_progressive(), code=many),
        h("jpeg, progressive, 24 MP", largest_progressive(), (3000, 2000)),
        h("webp of 12 MP, clear", saved(clear(4000, 3000), "WEBP"), (4000, 3000)),
        h("webp of 16 MP", saved(Image.new("RGB", (4000, 4000)), "WEBP"), code=many),
        h("png, text of 60 MB", png_with_text(60_000_000)),
        h("png, profile of 60 MB", png_profile_bomb()),
        # Other things under a picture's name.
        h("svg", SVG),
        h("html named .jpg", HTML),
        h("gif", saved(noise(), "GIF")),
        h("gif and script", gif_and_script()),
        h("tiff", saved(noise(), "TIFF")),
        h("bmp", saved(noise(), "BMP")),
        h("postscript", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\nquit\n"),
        h("zip alone", zip_file()),
        h("nothing", b""),
        h("zeros", bytes(4096)),
        # Pictures with more in them than the picture.
        h("jpeg and zip", PLAIN + zip_file(), size),
        h("jpeg with a tail", PLAIN + SECRET * 1000, size),
        h("png with a tail", saved(noise(), "PNG") + HTML + SECRET, size),
        h("jpeg with place, serial, xmp", with_metadata(), (240, 320)),
        h("apng", apng(), size),
        h("animated webp", animated_webp(), size),
        # Broken or odd ones.
        h("jpeg cut short", PLAIN[: len(PLAIN) // 2]),
        h("png cut short", saved(noise(), "PNG")[:5000]),
        h("jpeg head and script", PLAIN[:200] + HTML * 50),
        h("jpeg in four inks", saved(noise().convert("CMYK"), "JPEG"), size),
        h("png of 16 bits", saved(Image.new("I;16", (320, 240), 40_000), "PNG"), size),
        h("png, half transparent", saved(Image.new("RGBA", size), "PNG"), size),
        h("png in two colours", saved(noise().convert("1"), "PNG"), size),
        h("one pixel", saved(Image.new("RGB", (1, 1)), "PNG"), (1, 1)),
        h("jpeg, held 999", turned(999), size),
    ]


def big_progressive() -> bytes:
    return saved(Image.new("RGB", (6200, 6000)), "JPEG", progressive=True)


def largest_progressive() -> bytes:
    """Held whole by the decoder, three full planes of it."""
    return saved(
        Image.new("RGB", (6000, 4000)), "JPEG", progressive=True, subsampling=0
    )


def clear(width: int, height: int) -> Image.Image:
    return Image.new("RGBA", (width, height), (9, 9, 9, 9))


def png_profile_bomb() -> bytes:
    """A profile that inflates to 60 MB, before the picture's own data."""
    data = saved(noise(), "PNG")
    profile = chunk(b"iCCP", b"icc\0\0" + deflated_zeros(60_000_000))
    return data[:33] + profile + data[33:]
