"""Six sets of rules as educational pages print them, each with its page; no body is named in the product.

Values a page does not give are left out. What differs between them is what has to be data.
"""

from studio.sending.rules import Rules

BODIES = {
    # One continuous unedited video of at most six minutes (temeculaconservatory.com).
    "one_video": Rules(
        files="one", picture="video", formats=("mp4",), longest_s=360, name_pattern="{instrument} {entry}"
    ),
    # Each excerpt its own file; no name in a file's name or content (pmea12.org).
    "blind_files": Rules(
        formats=("mp3",), picture="sound", judged_blind=True, announcement="forbidden",
        name_pattern="{entry}-{number}",
    ),
    # One uninterrupted track, no talking at all, items in the given order (missouribandmasters.org).
    "one_track": Rules(
        files="one", picture="sound", announcement="forbidden", name_pattern="{instrument} {entry}",
        student_statement="I played this recording in one go.",
    ),
    # Scales, etude, solo in this order; name and piece are said (indianapolisyouthorchestra.org).
    "announced_in_order": Rules(
        picture="video", announcement="required", order="scales_first",
        name_pattern="{number} {student} {music}",
    ),
    # At most three files, over thirty minutes, no effects (international.consmilano.it).
    "three_long_files": Rules(picture="video", most_files=3, longest_total_s=3600, shortest_s=600),
    # Two recordings, small, with a signed statement (vmea.org; sizes and bit rate from memory).
    "small_and_signed": Rules(
        formats=("mp3", "m4a"), largest_mb=5, largest_total_mb=10, lowest_kbps=128, highest_kbps=320,
        student_statement="The playing is mine.", guardian_statement="The playing is my child's.",
        without_metadata=True,
    ),
}  # fmt: skip
