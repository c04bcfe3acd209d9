"""The inside of the process that engraves long music: what to draw as JSON on stdin, the drawings on stdout.

In a process of its own, since long music takes seconds and hundreds of megabytes, which are not to be those
of a web server. The drawings come as compressed JSON, so that who asked holds little until they are shown.
"""

import json
import sys
import zlib

from repertoire.notation.draw.engraving import engrave, engrave_pages


def main(_arguments: list[str]) -> None:
    """One drawing, or one a page where a height is given."""
    asked = json.load(sys.stdin)
    options = asked["options"]
    if options.get("bars"):
        options["bars"] = tuple(options["bars"])
    if "height_px" in options:
        drawings = list(engrave_pages(asked["musicxml"], **options))
    else:
        drawings = [engrave(asked["musicxml"], **options)]
    sys.stdout.buffer.write(zlib.compress(json.dumps(drawings).encode()))
