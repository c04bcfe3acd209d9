"""One take and one printed score in, one Analysis out. Pure Python: no Django, no clock, no network."""
