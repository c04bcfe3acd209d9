"""The kinds of takes that cost a teacher's trust when they came in, each with its truth and its goal.

Double stops and chords, pages that were not played, a piano under the solo, talk before the music, a
plucked last note. Made and scored with the parts of `tests.accuracy.bench`; run
`python -m tests.accuracy.kinds --help`.
"""
