"""The line that a phone copies instead of a file."""

from __future__ import annotations

import base64
import binascii
import json
import re
import zlib
from typing import Any

from exercises.marking.hand_in import NotReadable, decoder
from exercises.marking.limits import LINE_DEFLATED, LONGEST_LINE, MOST_BRACKETS, MOST_UNPACKED

# --- a line to copy ------------------------------------------------------------------------


def pack_line(thing: dict[str, Any]) -> str:
    """Return an answer file as one line that can be copied into a message."""
    packed = zlib.compress(json.dumps(thing, separators=(",", ":")).encode(), 9)
    return LINE_DEFLATED + base64.urlsafe_b64encode(packed).decode().rstrip("=")


_LINES = re.compile(r"(GB[01]\.)([A-Za-z0-9_\-=\s>]+)")
LONG_LINE = re.compile(r"GB[01]\.[\s>]*[A-Za-z0-9_\-]{20}")


def unpack_line(text: str) -> Any:
    """Return the answer file in a line, which a mail program may have wrapped."""
    if len(text) > LONGEST_LINE:
        raise NotReadable(f"Its line has more than {LONGEST_LINE} characters.")
    found = []
    for kind, body in _LINES.findall(text):
        data = _unpacked(kind, body)
        if data not in found:
            found.append(data)
        if len(found) > 1:
            raise NotReadable("It holds two different lines. Keep the one that counts.")
    if not found:
        raise NotReadable("Its line is empty.")
    start = found[0].lstrip()
    if start[:1] != "{":
        raise NotReadable("Its line is damaged.")
    if start.count("{") + start.count("[") > MOST_BRACKETS:
        raise NotReadable("It holds far more parts than a hand-in has.")
    try:
        return decoder.raw_decode(start)[0]
    except ValueError:
        raise NotReadable("Its line is damaged. Ask for the line again.") from None


def _unpacked(kind: str, body: str) -> str:
    signs = re.sub(r"[\s>=]", "", body)
    signs = signs[: len(signs) - (len(signs) % 4 == 1)]
    try:
        data = base64.urlsafe_b64decode(signs + "=" * (-len(signs) % 4))
        if kind == LINE_DEFLATED:
            inflate = zlib.decompressobj()
            data = inflate.decompress(data, MOST_UNPACKED)
            if inflate.unconsumed_tail:
                raise NotReadable("Its line unpacks to far more than a hand-in.")
            if not inflate.eof:
                raise NotReadable("Its line breaks off. Ask for the whole line.")
    except (binascii.Error, ValueError, zlib.error):
        raise NotReadable("Its line is damaged. Ask for the line again.") from None
    return data.decode("utf-8", "replace")
