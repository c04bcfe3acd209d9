"""Small changes to a drawing after it is engraved: bar numbers out of the way, bars drawn pale.

They follow the text that Verovio writes (seen with 6.4.1); lengths are its inner units. Raises nothing.
"""

import re
from collections.abc import Collection

# A bracket of an ending and the number of the bar it opens over, as Verovio draws them one after the other.
BRACKETED_NUMBER = re.compile(
    r'(class="voltaBracket">(?:(?!class="measure").)*?<path d="M(?P<x>-?\d+) (?P<y>-?\d+) L'
    r'(?:(?!class="measure").)*?<g id="[^"]*" class="measure"[^>]*>\s*<g [^>]*class="mNum\b[^>]*>\s*'
    r'<text stroke="none" x="(?P<number_x>-?\d+)" y=")(?P<number_y>-?\d+)"',
    re.DOTALL,
)
NEAR_UNITS = 400  # a number this near the bracket's corner stands on it
ABOVE_UNITS = 70

MEASURE = re.compile(r'<g id="(?P<id>[^"]*)" class="measure"')
UNASKED_OPACITY = "0.28"  # pale on paper, and still to be read as music


def numbers_clear_of_endings(svg: str) -> str:
    """Lift a bar's number above the bracket of an ending that begins there."""

    def lifted(found: re.Match[str]) -> str:
        near = abs(int(found["number_x"]) - int(found["x"])) < NEAR_UNITS
        return f'{found[1]}{int(found["y"]) - ABOVE_UNITS if near else found["number_y"]}"'

    return BRACKETED_NUMBER.sub(lifted, svg)


def with_pale_bars(svg: str, unasked: Collection[str]) -> str:
    """The same drawing with these bars pale: what is printed there and not asked for.

    An attribute, so that it holds in a picture and on paper too; the class is for the page's own styles.
    """
    if not unasked:
        return svg

    def pale(found: re.Match[str]) -> str:
        if found["id"] not in unasked:
            return found[0]
        return f'<g id="{found["id"]}" opacity="{UNASKED_OPACITY}" class="measure unasked"'

    return MEASURE.sub(pale, svg)
