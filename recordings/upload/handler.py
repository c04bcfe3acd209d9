"""The upload of a take goes to a temporary file on disk and stops being kept where it is too large."""

from pathlib import PurePath

from django.conf import settings
from django.core.files.uploadhandler import StopUpload, TemporaryFileUploadHandler

from recordings.upload.room import is_no_room

# Up to this many times the limit the rest is read and thrown away, so that the browser, which reads no
# answer before it has sent everything, shows the sentence; beyond it the connection is cut.
PATIENCE = 2
LONGEST_SUFFIX = 20  # characters; the file system refuses names of more than 255 bytes


def largest_bytes() -> int:
    return settings.TAKE_MAX_MB * 1_000_000


class TakeUploadHandler(TemporaryFileUploadHandler):
    """Sets `request.take_too_large` or `request.no_room` and keeps nothing where either is so.

    The length the browser declares is looked at before any byte is written; the bytes are counted as
    well, since a declared length is only a word.
    """

    def handle_raw_input(self, input_data, META, content_length, boundary, encoding=None):
        self.announced = content_length or 0

    def new_file(self, field_name: str, file_name: str, *args, **kwargs) -> None:
        # The form's other fields come along in the same body, hence the small allowance.
        if self.announced > largest_bytes() + 100_000:
            self._stop()
        path = PurePath(file_name)
        if len(path.suffix) > LONGEST_SUFFIX:
            file_name = path.stem
        super().new_file(field_name, file_name, *args, **kwargs)

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        if start + len(raw_data) > largest_bytes():
            self.file.close()
            self._stop()
        try:
            super().receive_data_chunk(raw_data, start)
        except OSError as error:
            if not is_no_room(error):
                raise
            self.file.close()
            self._stop("no_room")

    def _stop(self, reason: str = "take_too_large") -> None:
        vars(self.request)[reason] = True
        raise StopUpload(connection_reset=self.announced > PATIENCE * largest_bytes())
