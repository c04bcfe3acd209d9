"""The inside of the process that opens a picture: its bytes on stdin, the same drawn anew on stdout.

Drawing it anew leaves out everything that is not the picture: place, time and device of a photo, and whatever
else a file can carry. In a process of its own, since pictures can be made to hurt whoever unpacks them. The
answer is a verdict and a line end, then the drawn picture's bytes where there is one.
"""

import io
import sys

from PIL import Image, ImageOps

MOST_PIXELS = 50_000_000  # phones make 12 to 50 million
LONGEST_PX = 2400  # an A4 page at about 200 dots an inch
JPEG_QUALITY = 85
DRAWN, DAMAGED, TOO_LARGE = b"drawn", b"damaged", b"too large"  # verdicts


def main(_arguments: list[str]) -> None:
    verdict, clean = draw_anew(sys.stdin.buffer.read())
    sys.stdout.buffer.write(verdict + b"\n" + clean)


def draw_anew(data: bytes) -> tuple[bytes, bytes]:
    """The verdict, and the picture as PNG or JPEG of at most `LONGEST_PX` pixels a side."""
    Image.MAX_IMAGE_PIXELS = None  # counted below, before anything is unpacked
    try:
        picture = Image.open(io.BytesIO(data), formats=("PNG", "JPEG"))
        if picture.width * picture.height > MOST_PIXELS:
            return TOO_LARGE, b""
        kind = picture.format
        picture.draft("RGB", (LONGEST_PX, LONGEST_PX))  # a JPEG is unpacked no larger than needed
        picture.thumbnail((LONGEST_PX, LONGEST_PX))
        clean = _on_white(ImageOps.exif_transpose(picture))
    except MemoryError:
        return TOO_LARGE, b""
    except Exception:
        return DAMAGED, b""
    out = io.BytesIO()
    if kind == "PNG":
        clean.save(out, "PNG", optimize=False)
    else:
        clean.save(out, "JPEG", quality=JPEG_QUALITY)
    return DRAWN, out.getvalue()


def _on_white(picture: Image.Image) -> Image.Image:
    """Pixels alone, without the notes a picture carries along; what is see-through becomes paper."""
    picture = picture.convert("RGBA") if picture.mode in ("P", "LA", "PA", "RGBA") else picture.convert("RGB")
    clean = Image.new("RGB", picture.size, "white")
    clean.paste(picture, mask=picture if picture.mode == "RGBA" else None)
    return clean
