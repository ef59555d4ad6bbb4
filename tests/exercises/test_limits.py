"""Limits that hold: no file costs a pile more than a second or two, none stops it."""

import io
import json
import os
import signal
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from exercises.book.records import UNREAD_FILE
from exercises.marking import archives, limits, reader
from exercises.marking.run import mark_folder
from exercises.marking.worker import TOO_LONG
from tests.clock import within
from tests.exercises.pile_of_ours import answer_file, issue, notebook_file, right_answers


@pytest.fixture
def ours(tmp_path):
    book, sheets = issue(tmp_path / "class.db")
    folder = tmp_path / "pile"
    folder.mkdir()
    with book:
        yield book, sheets, folder


def _mark(book, folder, **how):
    return mark_folder(folder, book, **{"received_at": "2030-02-20", "workers": 1, **how})


def test_a_table_with_a_key_twice_at_its_end_is_read_in_no_time():
    keys = ",".join(f'"k{n}":0' for n in range(45_000))
    data = f'{{"glossbook":1,"answers":{{{keys},"k44999":0}}}}'.encode()
    reading = within(1, lambda: reader.read_bytes(data))  # it took 15 s
    assert reading.fault == 'It holds "k44999" twice in one place.'


def test_a_cell_of_empty_lines_is_read_in_no_time(ours):
    _, sheets, _ = ours
    note = json.loads(notebook_file(sheets[0].token, {"1a": "1 g"}))
    for cell in note["cells"]:
        cell["metadata"] = {}
    code = next(cell for cell in note["cells"] if cell["cell_type"] == "code")
    code["source"] = "\n" * 128_000 + "x"
    data = json.dumps(note).encode()
    within(1, lambda: reader.read_bytes(data))  # it took 5.8 s


def _nested(count, size):
    """Return an archive of archives, each of which unpacks to so many bytes of nothing."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as outer:
        inner = io.BytesIO()
        with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED) as made:
            for n in range(20):
                made.writestr(f"{n}.json", b" " * size)
        for n in range(count):
            outer.writestr(f"{n}.zip", inner.getvalue())
    return out.getvalue()


def test_an_archive_of_archives_unpacks_no_more_than_one_archive_may(ours, monkeypatch):
    book, _, folder = ours
    (folder / "bomb.zip").write_bytes(_nested(300, 900_000))  # 5.4 GB
    unpacked = []
    take = archives.Budget.take

    def counted(self, size):
        unpacked.append(size)
        return take(self, size)

    monkeypatch.setattr(archives.Budget, "take", counted)
    _mark(book, folder)
    allowed = max(limits.LEAST_UNPACKED, limits.MOST_GROWTH * (folder / "bomb.zip").stat().st_size)
    assert sum(unpacked) < 2 * allowed
    assert any("unpacks to far more" in one.reason for one in book.handins())


def test_many_unreadable_things_in_one_archive_are_one_matter(ours):
    book, sheets, folder = ours
    with zipfile.ZipFile(folder / "all.zip", "w") as made:
        for n in range(150):
            made.writestr(f"{n}.txt", f"note {n}")
        cut = answer_file(sheets[0].token, right_answers(sheets[0]))[:60]
        made.writestr("mine.json", cut)  # somebody's, so a matter of its own
    _mark(book, folder)
    assert len(book.handins()) == 151
    first, second = book.matters(kind=UNREAD_FILE)
    assert first.detail == {"archive": "all.zip"}
    assert (second.detail, book.handin(second.handin).token) == ({}, sheets[0].token)


def test_the_same_pile_under_another_folder_is_known_by_content(ours):
    book, sheets, folder = ours
    for n in range(3):
        data = answer_file(sheets[n].token, right_answers(sheets[n]))
        for where in ("monday", "tuesday"):
            path = folder.parent / where / "class" / f"{n}.json"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
    assert _mark(book, folder.parent / "monday").new == 3
    again = _mark(book, folder.parent / "tuesday" / "class")
    assert (again.new, again.known) == (0, 3)
    assert len(book.handins()) == 3
    other = folder.parent / "thursday" / "Bo Batter" / "0.json"
    other.parent.mkdir(parents=True)
    other.write_bytes(answer_file(sheets[0].token, right_answers(sheets[0])))
    assert _mark(book, folder.parent / "thursday").new == 1  # somebody else's folder


def _slowly(data, name="", read=reader.read_bytes):
    if b"slow" in data:
        end = time.monotonic() + 60
        while time.monotonic() < end:
            pass
    return read(data, name)


def _never(data, name="", read=reader.read_bytes):
    if b"hang" in data:
        signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGALRM])
        time.sleep(60)
    return read(data, name)


def test_a_file_that_takes_too_long_is_given_up_and_recorded(ours, monkeypatch):
    book, sheets, folder = ours
    monkeypatch.setattr(limits, "LONGEST_READING", 0.3)
    monkeypatch.setattr(reader, "read_bytes", _slowly)
    (folder / "a.json").write_bytes(b'{"slow": 1}')
    (folder / "b.json").write_bytes(answer_file(sheets[0].token, right_answers(sheets[0])))
    _mark(book, folder)
    assert [one.state for one in book.handins()] == ["can't be read", "marked"]
    assert book.handins()[0].reason == TOO_LONG


_START = """
import sys, time
from pathlib import Path
from exercises.marking import run
if __name__ == "__main__":
    pool = run._pool(Path(sys.argv[1]), 1, None)
    print(pool.submit(run.os.getpid).result(), flush=True)
    time.sleep(60)
"""


@pytest.mark.skipif(not Path("/proc").exists(), reason="asks Linux whether a process lives")
def test_no_worker_is_left_behind_when_its_parent_is_killed(ours):
    book, _, _ = ours
    book.close()
    run = [sys.executable, "-c", _START, book.path]
    with subprocess.Popen(run, stdout=subprocess.PIPE, text=True) as parent:
        worker = int(parent.stdout.readline())
        parent.kill()
    end = time.monotonic() + 20
    while time.monotonic() < end:
        state = Path(f"/proc/{worker}/stat")
        if not state.exists() or state.read_text().split()[2] == "Z":
            return
        time.sleep(0.2)
    os.kill(worker, signal.SIGKILL)
    pytest.fail("the worker went on")


def test_a_worker_that_hangs_is_ended_and_the_pile_goes_on(ours, monkeypatch):
    book, sheets, folder = ours
    monkeypatch.setattr(limits, "LONGEST_BATCH", 3.0)
    monkeypatch.setattr(limits, "LONGEST_READING", 0.6)
    monkeypatch.setattr(reader, "read_bytes", _never)
    for n in range(4):
        (folder / f"{n}.json").write_bytes(
            b'{"hang": 1}' if n == 1 else answer_file(sheets[n].token, {"1a": "1 g"})
        )
    _mark(book, folder, workers=2)
    states = {one.path: one.state for one in book.handins()}
    assert states == {
        "0.json": "marked",
        "1.json": "can't be read",
        "2.json": "marked",
        "3.json": "marked",
    }


def _attacks(token):
    """Return files that each try to use up time, memory or depth, by name."""
    doubles = ",".join(f'"k{n % 20_000}": 1' for n in range(40_000))
    bomb, inner = io.BytesIO(), io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        for n in range(40):
            archive.writestr(f"{n}.json", b" " * 900_000)
    with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED) as archive:
        for n in range(20):
            archive.writestr(f"{n}.zip", bomb.getvalue())
    return {
        "doubles.json": f"{{{doubles}}}".encode(),
        "lines.json": b"\n" * 4_000_000,
        "lines.txt": (f"{token}\n" + "\n \n" * 60_000).encode(),
        "deep.json": b"[" * 1_000_000,
        "deep objects.json": b'{"a":' * 300_000,
        "digits.json": b'{"glossbook": ' + b"9" * 1_000_000 + b"}",
        "answer.json": answer_file(token, {"1a": "9" * 190 + " g", "1b": "1e" + "9" * 100}),
        "signs.json": answer_file(token, {"1a": "+-" * 90, "1b": "(" * 190, "2a": "1/" * 90}),
        "line.txt": b"GB1." + b"A" * 2_000_000,
        "commas.json": b"[" + b"," * 4_000_000,
        "bomb.zip": bomb.getvalue(),
        "bombs.zip": inner.getvalue(),
        "cut.zip": bomb.getvalue()[:-200],
        "long.ipynb": b'{"cells": [' + b'{"source": "x"},' * 90_000 + b"{}]}",
    }


def test_files_that_try_each_resource_in_a_pile_are_all_recorded_and_the_pile_goes_on(ours):
    book, sheets, folder = ours
    attacks = _attacks(sheets[1].token)
    for name, data in attacks.items():
        (folder / name).write_bytes(data)
    for n in (0, 2):
        good = answer_file(sheets[n].token, right_answers(sheets[n]))
        (folder / f"{'az'[n // 2]} good.json").write_bytes(good)
    start = time.process_time()
    _mark(book, folder)
    took = time.process_time() - start
    assert took < 2 * len(attacks)  # no file costs a pile more than a second or two
    came = {one.path.partition("!")[0] for one in book.handins()}
    assert came == {*attacks, "a good.json", "z good.json"}
    assert [one.path for one in book.handins() if one.state == "marked" and "good" in one.path] == [
        "a good.json",
        "z good.json",
    ]
    unread = [one for one in book.matters(waiting=True) if one.kind == "unread file"]
    assert len(unread) <= len(attacks)  # many in one archive are one matter
