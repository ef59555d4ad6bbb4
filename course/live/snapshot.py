"""What makes a first answer quick, and possible from a file; both are made at build time.

The memory of a Python that has started spares the reader's browser the start.  The runtime
as scripts serves pages opened from a file, which may load a script but fetch nothing.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import io
import json
import shutil
import subprocess
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
MEMORY = "started.bin"
SECONDS_TO_START = 180
MEBIBYTE = 2**20
GZIPPED = b"\x1f\x8b"


@dataclass(frozen=True)
class Started:
    """The memory of a Python that has started.

    Parameters
    ----------
    data : bytes
        As the browser takes it.
    key : str
        What it was made from; two makings differ in bytes that mean nothing.
    used, first : int
        How much of it is in use, and how much a new runtime has, in bytes.
    silent : tuple of str
        Calls that did not answer.
    """

    data: bytes
    key: str
    used: int
    first: int
    silent: tuple[str, ...] = ()

    @property
    def room(self) -> str:
        """What is left of a new runtime's memory, in words."""
        left = (self.first - self.used) / MEBIBYTE
        first = f"the {self.first / MEBIBYTE:.0f} MiB that a new Python has"
        return (
            f"{left:.1f} MiB left of {first}"
            if left >= 0
            else f"{-left:.1f} MiB more than {first}: it answers, and takes more room"
        )


def started(
    store: Path, files: Mapping[str, bytes], packages: bytes, calls: Sequence[Any]
) -> Started | str:
    """Return the memory of a Python that has answered some calls; or why there is none.

    Parameters
    ----------
    store : Path
        Where what was made once is kept.
    files : mapping of str to bytes
        The runtime and the setting, as the site has them.
    packages : bytes
        The zip of compiled Python.
    calls : sequence
        What pages ask first, each as :meth:`course.live.answers.Answers.call` takes it.
    """
    node = shutil.which("node")
    if node is None:
        return "there is no Node here to start it with"
    parts = [(HERE / "start.mjs").read_bytes(), packages, json.dumps(calls).encode()]
    parts += [data for _, data in sorted(files.items())]
    key = hashlib.sha256(b"".join(hashlib.sha256(p).digest() for p in parts)).hexdigest()[:20]
    kept, told = store / f"started-{key}.bin", store / f"started-{key}.json"
    if not told.exists() or not kept.exists():
        store.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=store) as place:
            live, inside = Path(place, "live"), Path(place, "packages")
            live.mkdir()
            for name, data in files.items():
                (live / name).write_bytes(data)
            with zipfile.ZipFile(io.BytesIO(packages)) as archive:
                archive.extractall(inside)
            asked, made = Path(place, "calls.json"), Path(place, "made.bin")
            asked.write_text(json.dumps(calls), encoding="utf-8")
            command = [node, str(HERE / "start.mjs"), str(live), str(inside), str(asked), str(made)]
            try:
                done = subprocess.run(
                    command, check=True, capture_output=True, timeout=SECONDS_TO_START
                )
                says = json.loads(done.stdout)
            except subprocess.CalledProcessError as error:
                lines = error.stderr.decode(errors="replace").strip().splitlines() or ["?"]
                return f"Node could not start it ({lines[-1][:160]})"
            except (OSError, subprocess.SubprocessError, ValueError) as error:
                return f"Node could not start it ({type(error).__name__})"
            made.replace(kept)
            told.write_text(json.dumps(says), encoding="utf-8")
    says = json.loads(told.read_text(encoding="utf-8"))
    return Started(kept.read_bytes(), key, says["used"], says["first"], tuple(says["silent"]))


def as_script(data: bytes) -> bytes:
    """Return a script that leaves its bytes, gzipped and as text, on its own element."""
    packed = data if data.startswith(GZIPPED) else gzip.compress(data, 9, mtime=0)
    return b'document.currentScript.carried = "' + base64.b64encode(packed) + b'";\n'
