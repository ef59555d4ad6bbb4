"""Archives whose bytes depend on nothing but what is in them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

_ZIP_TIME = (1980, 1, 1, 0, 0, 0)  # one time for all, so that a pack is the same twice


def zipped(files: Mapping[str, str | bytes]) -> bytes:
    """Return an archive whose bytes depend on nothing but what is in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            about = zipfile.ZipInfo(name, _ZIP_TIME)
            about.compress_type = zipfile.ZIP_DEFLATED
            about.external_attr = 0o644 << 16
            data = files[name]
            archive.writestr(
                about,
                data if isinstance(data, bytes) else data.encode("utf-8", "replace"),
            )
    return out.getvalue()
