"""An independent measurement of the whole analysis: sampled instruments, exact truth, stated goals.

Nothing here shares code with what is measured: the sound comes from Debian's fluidsynth and its General
MIDI soundfont, the pitch of its samples from `sounding.py`. Run `python -m tests.accuracy.bench --help`.
"""
