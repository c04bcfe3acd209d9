"""Sounds in a bucket (S3 or what speaks like it), whose troubles are those of a folder.

The library tells a bucket that is away by exceptions of its own, which are no `OSError`; whoever stores,
reads or measures a take knows one kind of trouble that may pass.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from boto3.exceptions import Boto3Error
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError
from storages.backends.s3 import S3Storage

from studio.setup.outage import StorageAway

# Choices: who waits holds a thread of the web server, or a worker.
PATIENCE = Config(connect_timeout=5, read_timeout=30, retries={"mode": "standard", "max_attempts": 3})


def as_folder(method: Callable[..., Any]) -> Callable[..., Any]:
    """What the library raises beside the missing file becomes StorageAway."""

    @wraps(method)
    def call(*args: Any, **how: Any) -> Any:
        try:
            return method(*args, **how)
        except (BotoCoreError, ClientError, Boto3Error) as error:
            raise StorageAway(type(error).__name__) from error

    return call


class Bucket(S3Storage):
    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.client_config: Config = self.client_config.merge(PATIENCE)

    delete = as_folder(S3Storage.delete)
    exists = as_folder(S3Storage.exists)
    listdir = as_folder(S3Storage.listdir)
    size = as_folder(S3Storage.size)
    get_modified_time = as_folder(S3Storage.get_modified_time)
    _save = as_folder(S3Storage._save)

    @as_folder
    def _open(self, name: str, mode: str = "rb") -> Any:
        """Fetched at once: fetched while it is read, a trouble would come where nobody expects it."""
        opened = super()._open(name, mode)
        return opened.open() if "r" in mode else opened
