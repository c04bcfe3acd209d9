"""`python -m repertoire.library.page_child MEMORY_MB`: a picture on stdin, the same drawn anew on stdout.

Drawing it anew leaves out everything that is not the picture: place, time and device of a photo, and whatever
else a file can carry. In a child, since pictures can be made to hurt whoever unpacks them.
"""

import io
import sys

from PIL import Image, ImageOps

from repertoire.notation.read.child import limit_memory

MOST_PIXELS = 50_000_000  # phones make 12 to 50 million
LONGEST_PX = 2400  # an A4 page at about 200 dots an inch
JPEG_QUALITY = 85
NOT_A_PICTURE, TOO_LARGE = 4, 5  # exit codes


def main(memory_mb: int) -> int:
    limit_memory(memory_mb)
    Image.MAX_IMAGE_PIXELS = None  # counted below, before anything is unpacked
    try:
        picture = Image.open(io.BytesIO(sys.stdin.buffer.read()), formats=("PNG", "JPEG"))
        if picture.width * picture.height > MOST_PIXELS:
            return TOO_LARGE
        kind = picture.format
        picture.draft("RGB", (LONGEST_PX, LONGEST_PX))  # a JPEG is unpacked no larger than needed
        picture.thumbnail((LONGEST_PX, LONGEST_PX))
        clean = _on_white(ImageOps.exif_transpose(picture))
    except MemoryError:
        return TOO_LARGE
    except Exception:
        return NOT_A_PICTURE
    out = io.BytesIO()
    if kind == "PNG":
        clean.save(out, "PNG", optimize=False)
    else:
        clean.save(out, "JPEG", quality=JPEG_QUALITY)
    sys.stdout.buffer.write(out.getvalue())
    return 0


def _on_white(picture: Image.Image) -> Image.Image:
    """Pixels alone, without the notes a picture carries along; what is see-through becomes paper."""
    picture = picture.convert("RGBA") if picture.mode in ("P", "LA", "PA", "RGBA") else picture.convert("RGB")
    clean = Image.new("RGB", picture.size, "white")
    clean.paste(picture, mask=picture if picture.mode == "RGBA" else None)
    return clean


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])))
