"""Several files as one .zip: the same files give the same bytes."""

import io
import zipfile
from collections.abc import Sequence

_DATE = (1980, 1, 1, 0, 0, 0)  # the oldest a .zip can hold; no clock
_LEVEL = 9
_MODE = 0o644 << 16
_UNIX = 3


def zip_bytes(files: Sequence[tuple[str, bytes]]) -> bytes:
    """Return a .zip of files, name and content each, in the order given."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as pack:
        for name, data in files:
            info = zipfile.ZipInfo(name, _DATE)
            info.create_system, info.external_attr = _UNIX, _MODE
            pack.writestr(info, data, zipfile.ZIP_DEFLATED, _LEVEL)
    return buffer.getvalue()
