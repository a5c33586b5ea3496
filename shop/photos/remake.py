"""A picture from outside made anew: decoded by an allow-list, encoded afresh.

A script of its own: ``aside.py`` starts it as a process for each photo, with limits
that the kernel holds it to. It imports nothing of ours. Standard input is the file,
the first argument the limits; standard output is a line of JSON, then the photo, then
its small picture, both JPEG without metadata, profile or anything of the input's bytes.
Exit code 3 with a code of one word on standard error: refused.
"""

import io
import json
import resource
import sys
import warnings
from typing import Any

from PIL import Image

REFUSED = 3
TURNED = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
ORIENTATION = 0x0112
WHITE = (255, 255, 255)


class Refused(Exception):
    pass


def bound(limits: dict[str, Any]) -> None:
    """What the kernel allows from here on: memory, seconds, no file written."""
    resource.setrlimit(resource.RLIMIT_DATA, (limits["memory"],) * 2)
    resource.setrlimit(resource.RLIMIT_CPU, (limits["seconds"],) * 2)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def opened(file: io.BytesIO, limits: dict[str, Any]) -> Image.Image:
    """A picture of an allowed format and size; nothing is decoded yet."""
    Image.MAX_IMAGE_PIXELS = max(limits["pixels"].values())
    warnings.simplefilter("error", Image.DecompressionBombWarning)
    try:
        image = Image.open(file, formats=list(limits["pixels"]))
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise Refused("too_many_pixels") from None
    most = limits["pixels"][str(image.format)]
    if image.info.get("progressive"):
        most = limits["progressive"]
    if image.width * image.height > most or max(image.size) > limits["longest_edge"]:
        raise Refused("too_many_pixels")
    return image


def decoded(image: Image.Image, edge: int) -> Image.Image:
    """The first frame, upright, in plain colours, at most ``edge`` long."""
    if max(image.size) > edge * 3 // 2:
        half = (image.width // 2, image.height // 2)
        image.draft("RGB", half)
    image.load()
    turned = TURNED.get(orientation(image))
    small = flat(shrunk(deep(image), edge))
    image.close()
    return small.transpose(turned) if turned is not None else small


def orientation(image: Image.Image) -> int:
    """How the camera was held; of broken metadata: upright."""
    try:
        return int(image.getexif().get(ORIENTATION, 1))
    except Exception:  # noqa: BLE001  hostile metadata may raise anything
        return 1


def deep(image: Image.Image) -> Image.Image:
    """Sixteen bits of grey brought down to eight."""
    if not image.mode.startswith(("I", "F")):
        return image
    return image.convert("I").point(lambda v: v / 256).convert("L")


def shrunk(image: Image.Image, edge: int) -> Image.Image:
    """By a whole factor: the mean of each square, which needs no second copy."""
    factor = -(-max(image.size) // edge)
    if factor == 1:
        return image
    if image.mode in {"1", "P", "PA"}:
        image = image.convert("RGBA" if "transparency" in image.info else "RGB")
    return image.reduce(factor)


def flat(image: Image.Image) -> Image.Image:
    """Plain colours, on white where it was transparent."""
    if not image.has_transparency_data:
        return image.convert("RGB")
    image = image.convert("RGBA")
    ground = Image.new("RGB", image.size, WHITE)
    ground.paste(image, mask=image.getchannel("A"))
    return ground


def encoded(image: Image.Image, quality: int) -> bytes:
    """Fresh bytes: only the pixels go over, not what came with them."""
    image.info = {}
    kept = io.BytesIO()
    image.save(kept, "JPEG", quality=quality, exif=b"", icc_profile=None, comment=b"")
    return kept.getvalue()


def small_of(image: Image.Image, edge: int) -> Image.Image:
    small = image.copy() if max(image.size) <= edge else image
    small = small.reduce(max(1, max(small.size) // (2 * edge)))
    small.thumbnail((edge, edge))
    return small


def remade(file: io.BytesIO, limits: dict[str, Any]) -> tuple[bytes, bytes, bytes]:
    image = decoded(opened(file, limits), limits["edge"])
    full = encoded(image, limits["quality"])
    small = encoded(small_of(image, limits["small_edge"]), limits["small_quality"])
    head = {"width": image.width, "height": image.height, "bytes": len(full)}
    return json.dumps(head).encode() + b"\n", full, small


def main() -> int:
    limits = json.loads(sys.argv[1])
    bound(limits)
    try:
        parts = remade(io.BytesIO(sys.stdin.buffer.read()), limits)
    except Refused as refused:
        sys.stderr.write(str(refused))
        return REFUSED
    except MemoryError:
        sys.stderr.write("too_much_memory")
        return REFUSED
    except Exception:  # noqa: BLE001  a decoder may raise anything on hostile bytes
        sys.stderr.write("not_a_picture")
        return REFUSED
    for part in parts:
        sys.stdout.buffer.write(part)
    return 0


if __name__ == "__main__":
    sys.exit(main())
