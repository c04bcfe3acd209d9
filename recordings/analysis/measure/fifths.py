"""How far pure intervals lie from the tempered ones, in cents: plain ratios, nothing measured."""

import math

FIFTH_CENTS = 1200 * math.log2(3 / 2) - 700  # a pure fifth beyond the tempered one: 1.955
COMMA_CENTS = 1200 * math.log2(81 / 80)  # four pure fifths beyond a pure third: 21.506
