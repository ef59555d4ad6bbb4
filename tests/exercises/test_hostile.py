"""Hand-ins made hostile from real ones: read within a second, on record, and only text.

Each is a real hand-in to which something was done.  All of them are marked in one
run; then letters, reports, tables and evidence are searched for what should be text.
"""

import csv
import io
import json
import random
import re
import zipfile
from html.parser import HTMLParser

import openpyxl
import pytest

from exercises.book.schema import MARKED
from exercises.marking import archives, copied_line, reader
from exercises.marking.finding import find
from exercises.marking.run import mark_folder
from exercises.reports.class_report import write_reports
from exercises.reports.evidence import evidence_packs
from tests.clock import within
from tests.exercises.pile_of_ours import answer_file, issue, notebook_file, right_answers

NAMES = (
    "Ada Ample",
    "<script>alert(1)</script>",
    '=HYPERLINK("http://x.invalid","Bo")',
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "\u202eeD Dough",
    '" onmouseover="alert(1)',
)
EVIL = (
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "</style><script>x",
    "<svg/onload=alert(1)>",
    '" onfocus="alert(1)" autofocus="',
    "javascript:alert(1)",
    "{{ 71237 * 89123 }}",
    "{% include 'x' %}",
    "]]><!--",
    "&#60;script&#62;",
    "=1+1",
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "=cmd()",
    "\ud800",
    "\U000e0041",
    "\u202e5 g",
    "5\u200b g",
    "\ufeff5 g",
    "5 g\x00",
    "\x1b[31m5 g",
    "٣ g",
    "５ g",
    "5 ｇ",
    "½ g",
    "1\u0336 g",
    "а",
    "ⅳ",
    "5\u2028g",
    "𝟓 g",
    "9" * 200,
    "1e99 g",
    "1e400 g",
    "NaN g",
    "inf g",
    "-0 g",
    "10**10**10 g",
    "1,234 g",
    "../../etc/passwd",
    "' OR 1=1 --",
    "",
    " ",
    "answer",
    "x" * 5000,
    "%s%n",
    "0x10 g",
)
RAW = (
    b"[" * 60,
    b"[" * 100_000,
    b'{"a":' * 50_000,
    b"{}" * 30,
    b"NaN",
    b"-Infinity",
    b"1e400",
    b"9" * 5000,
    b'"\\ud800"',
    b"\xff\xfe",
    b"\xc0\xaf",
    b"\x00" * 9,
    b"null",
    b'"1a": 1, "1a": 2',
    b"\\",
    b'"',
    b"}",
    b"]",
    b",",
    b"<script>",
    b"PK\x03\x04",
)
PLACES = (
    "../up.json",
    "/abs.json",
    "C:\\x.json",
    "con.json",
    "a\u202ebn.json",
    "x" * 500,
    "<img src=x onerror=alert(1)>.json",
    "=1+1.json",
    "d/e/f.json",
    "same.json",
    "SAME.json",
)


def _real(pick, sheets):
    """Return a hand-in as a student could send it, with some evil answers in it."""
    sheet = pick.choice(sheets)
    answers, working = right_answers(sheet), {}
    for key in answers:
        if pick.random() < 0.3:
            answers[key] = pick.choice(EVIL)
        if pick.random() < 0.2:
            working[key] = pick.choice(EVIL)
    if pick.random() < 0.1:
        answers[pick.choice(["9z", "1a.1", "__proto__", "1a\x00", "<b>"])] = "5 g"
    form = pick.choice([answer_file, notebook_file])
    whole = json.loads(json.dumps([answers, working]).replace("\\ud800", ""))
    data = form(sheet.token, *whole)
    if "\ud800" in str(answers):  # as a program could write it down
        data = data.replace(b'""', b'"\\ud800"', 1)
    return data


def _structure(pick, data):
    """Put something else into one place of the JSON."""
    thing = place = json.loads(data)
    while isinstance(place, dict | list) and place:
        keys = list(place) if isinstance(place, dict) else range(len(place))
        key = pick.choice(keys)
        if not isinstance(place[key], dict | list) or pick.random() < 0.3:
            what = [None, [], {}, 5, "x", True, 1e308, -1, [[]] * 5, {"a": []}, 2**70]
            place[key] = pick.choice([*what, *EVIL])
            break
        place = place[key]
    return json.dumps(thing).encode()


def _raw(pick, data):
    """Put hostile bytes into one place, instead of what stands there or before it."""
    place = pick.randrange(len(data))
    return data[:place] + pick.choice(RAW) + data[place + pick.choice([0, 0, 1, 50]) :]


def _flipped(pick, data):
    out = bytearray(data)
    for _ in range(pick.choice([1, 4, 40])):
        out[pick.randrange(len(out))] = pick.randrange(256)
    return bytes(out)


def _cut(pick, data):
    return data[: pick.randrange(len(data))]


def _wide(pick, data):
    return data.decode("utf-8", "replace").encode(pick.choice(["utf-16", "utf-8-sig", "utf-32"]))


def _line(pick, data):
    text = copied_line.pack_line(json.loads(data))
    place = pick.randrange(len(text))
    more = pick.choice(["", "\n> ", "A", "=", "<script>", text])
    return f"Dear all, {text[:place]}{more}{text[place:]} .".encode()


def _zipped(pick, data):
    """Put it into an archive under hostile names, with others, or damage that."""
    out = io.BytesIO()
    packing = pick.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2])
    with zipfile.ZipFile(out, "w", packing) as made:
        for name in pick.sample(PLACES, 3):
            made.writestr(name, data)
        what = pick.random()
        if what < 0.2:
            made.writestr("bomb.json", b"0" * 3_000_000)
        elif what < 0.4:
            made.writestr("inner.zip", out.getvalue() or b"PK\x05\x06")
        elif what < 0.5:
            info = zipfile.ZipInfo("link.json")
            info.external_attr = 0o120777 << 16
            made.writestr(info, "/etc/passwd")
    whole = out.getvalue()
    return whole if pick.random() < 0.5 else _flipped(pick, whole)


DONE = (_structure, _raw, _flipped, _cut, _wide, _line, _zipped)


def _fuzzed(pick, sheets):
    data = _real(pick, sheets)
    for done in pick.sample(DONE, pick.choice([0, 1, 1, 1, 2])):
        try:
            data = done(pick, data)
        except (ValueError, RecursionError):  # what it is now can't be done that to
            continue
    return data


def _read_all(data, name):
    """Read a hand-in as marking does, an archive with all its members."""
    if not archives.is_archive(data):
        reader.read_bytes(data, name)
        return
    archive = archives.open_archive(data)
    for member in archive.members() if not archive.fault else ():
        reader.read_bytes(member.data, member.name)
    archive.close()


# --- what must not be found afterwards ----------------------------------------------------


OURS = re.compile(
    r'=(?:SUM\([A-Z]+\d+:[A-Z]+\d+\)|COUNTIF\([A-Z]+\d+:[A-Z]+\d+,"(?:not yet )?met"\))'
)


class _Page(HTMLParser):
    """Collects what a page could run or fetch."""

    RUNS = frozenset(
        ("script", "iframe", "object", "embed", "form", "base", "link", "input", "button")
    )

    def __init__(self, text):
        super().__init__()
        self.found, self.words = [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        named = dict(attrs)
        if tag in self.RUNS or (tag == "img" and not named["src"].startswith("data:")):
            self.found.append(tag)
        self.found += [name for name in named if name.startswith("on")]
        self.found += [
            value
            for name, value in attrs
            if name in ("href", "src", "action")
            and re.search(r"script:|^data:text", re.sub(r"[\s\x00]", "", value or "").lower())
        ]

    handle_startendtag = handle_starttag

    def handle_data(self, data):
        self.words += data.split()


def _only_text(page):
    looked = _Page(page)
    assert looked.found == []
    assert str(71237 * 89123) not in looked.words  # as if a template had been run


def _no_formulas(path):
    if path.suffix == ".csv":
        rows = csv.reader(io.StringIO(path.read_text("utf-8-sig")))
        for cell in (cell for row in rows for cell in row):
            assert not re.match(r"[=@\t\r\n]|[+-](?![0-9.,]+$)", cell), cell
        return
    book = openpyxl.load_workbook(path)
    for page in book:
        for cell in (cell for row in page for cell in row):
            assert cell.hyperlink is None
            if cell.data_type == "f":
                assert OURS.fullmatch(cell.value), cell.value


def _nothing_runs(folder):
    """Look through all that was written; return how many files were looked at."""
    looked = 0
    for path in folder.rglob("*"):
        if path.suffix == ".html":
            _only_text(path.read_text("utf-8"))
        elif path.suffix in (".csv", ".xlsx"):
            _no_formulas(path)
        elif path.suffix == ".zip":
            with zipfile.ZipFile(path) as archive:
                for name in archive.namelist():
                    assert re.fullmatch(r"[\w./ -]+", name), name
                    if name.endswith(".html"):
                        _only_text(archive.read(name).decode())
                        looked += 1
            continue
        else:
            continue
        looked += 1
    return looked


def _fuzz(root, count):
    pick, folder = random.Random(count), root / "pile"
    folder.mkdir()
    book, sheets = issue(root / "class.db", NAMES)
    ends = (
        "",
        ".json",
        ".ipynb",
        ".txt",
        " <b onclick=x>.json",
        ".handin.json",
        "\n=1+1",
    )
    for n in range(count):
        data, name = _fuzzed(pick, sheets), f"{n:05}{pick.choice(ends)}"
        within(1, lambda data=data, name=name: _read_all(data, name))
        (folder / name).write_bytes(data)
    with book:
        summary = mark_folder(folder, book, received_at="2030-02-20 12:00")
        assert summary.met == summary.new == len(book.handins())
        on_record = {one.path.partition("!")[0] for one in book.handins()}
        assert on_record == {task.shown for task in find(folder)}
        assert len(on_record) == count
        assert summary.states[MARKED] > count / 4
        assert len(summary.states) > 1
        for row in book.results("first"):
            assert 0 <= row.awarded <= row.total
        assert book.verify().faults == []
        again = mark_folder(folder, book, received_at="2030-02-20 12:00")
        assert (again.met, again.new) == (summary.met, 0)
        out = root / "out"
        write_reports(book, out)
        evidence_packs(book, out / "evidence", "first")
    assert _nothing_runs(out) > 2 * len(NAMES)


def test_hand_ins_fuzzed_from_real_ones_are_on_record_and_only_text(tmp_path):
    _fuzz(tmp_path, 500)


@pytest.mark.slow
def test_ten_thousand_fuzzed_hand_ins_are_on_record_and_only_text(tmp_path):
    _fuzz(tmp_path, 10_000)


@pytest.mark.parametrize("evil", [text for text in EVIL if "\ud800" not in text])
def test_an_evil_answer_and_working_stay_text_wherever_they_are_told(tmp_path, evil):
    book, sheets = issue(tmp_path / "class.db", NAMES[:2])
    folder = tmp_path / "pile"
    folder.mkdir()
    for n, sheet in enumerate(sheets):
        answers = dict.fromkeys(right_answers(sheet), evil)
        data = answer_file(sheet.token, answers, answers)
        (folder / f"{n}.json").write_bytes(data)
    with book:
        assert mark_folder(folder, book).states == {MARKED: 2}
        write_reports(book, tmp_path / "out")
        evidence_packs(book, tmp_path / "out" / "evidence", "first")
    assert _nothing_runs(tmp_path / "out") > 4


def test_the_search_would_find_what_runs(tmp_path):
    (tmp_path / "a.html").write_text("<p><script>alert(1)</script>")
    with pytest.raises(AssertionError):
        _nothing_runs(tmp_path)
    for page in ("<img src=x onerror=y>", "<a href='java\tscript:x'>", "<p onclick=x>"):
        assert _Page(page).found
    (tmp_path / "a.html").unlink()
    (tmp_path / "a.csv").write_text('"ok","=1+1"\n')
    with pytest.raises(AssertionError):
        _nothing_runs(tmp_path)
