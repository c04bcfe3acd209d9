"""Whether the disks have room for a take: the folder uploads come in, that of the sounds, the database's.

A reserve is never given to takes, so that the database can still be written when sounds have filled the
rest. Storage that is no folder of this machine (a bucket) has room as far as can be told from here.
"""

import errno
import shutil
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection

# What a full disk or a used-up quota says.
NO_ROOM = {errno.ENOSPC, errno.EDQUOT}


def is_no_room(error: OSError) -> bool:
    return error.errno in NO_ROOM


def has_room_for(size: int) -> bool:
    """Whether `size` more bytes fit beside the reserve, on every disk that takes part."""
    return all(free_bytes(folder) - reserve_bytes() >= size for folder in _folders())


def is_low() -> bool:
    """Whether the reserve is touched: from now on no take is accepted."""
    return not has_room_for(0)


def reserve_bytes() -> int:
    return settings.DISK_RESERVE_MB * 1_000_000


def free_bytes(folder: Path) -> int:
    return shutil.disk_usage(existing(folder)).free


def _folders() -> list[Path]:
    folders = [Path(settings.FILE_UPLOAD_TEMP_DIR)]
    if sounds := _folder_of_sounds():
        folders.append(sounds)
    if connection.vendor == "sqlite":
        folders.append(Path(connection.settings_dict["NAME"]).parent)
    return folders


def _folder_of_sounds() -> Path | None:
    try:
        return Path(default_storage.path(""))
    except NotImplementedError:
        return None


def existing(folder: Path) -> Path:
    """`folder`, or the nearest above it that is there: the disk it will lie on."""
    return next(path for path in (folder, *folder.parents) if path.exists())
