"""Hand-ins are read and never run; what can't be read is said, and quickly."""

import base64
import io
import json
import random
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exercises.book.tokens import new_token
from exercises.marking import hand_in
from exercises.marking.archives import Archive
from exercises.marking.copied_line import pack_line
from exercises.marking.notebook_reader import reply
from exercises.marking.reader import read_bytes
from exercises.sheets import notebook, worksheet
from tests.clock import within
from tests.exercises.pile_of_ours import answer_file, notebook_file
from tests.exercises.sheets_for_tests import a_sheet

TOKEN = new_token()
ANSWERS = {"1a": "12.5 g", "1b": "30 °C", "2a": "b", "3b.1": "1 g"}
WORKING = {"1a": "10 x 1.25\n= 12.5"}


def _read(data, name="", seconds=1.0):
    return within(seconds, lambda: read_bytes(data, name))


def _book(**changes):
    return {**json.loads(notebook_file(TOKEN, ANSWERS, WORKING)), **changes}


def _dump(thing):
    return json.dumps(thing).encode()


def _cell(source, part="1a"):
    return {
        "cell_type": "code",
        "metadata": {"glossbook": {"part": part}},
        "source": source,
    }


def _one(source):
    """Read a notebook with one reply cell; return its answer, or its problem."""
    got = _read(_dump(_book(cells=[_cell(source)])))
    assert not got.fault
    return got.answers.get("1a"), got.problems.get("1a", "")


# --- what is read -------------------------------------------------------------------


@pytest.mark.parametrize("make", [answer_file, notebook_file])
def test_a_notebook_and_an_answer_file_give_the_same(make):
    got = _read(make(TOKEN, ANSWERS, WORKING))
    assert (got.token, got.answers, got.working) == (TOKEN, ANSWERS, WORKING)
    assert (got.fault, got.problems) == ("", {})
    assert got.form == ("file" if make is answer_file else "notebook")


def test_a_line_to_copy_is_read_from_a_message_around_it():
    thing = json.loads(answer_file(TOKEN, ANSWERS, WORKING))
    line = pack_line(thing)
    wrapped = "\r\n> ".join(line[n : n + 60] for n in range(0, len(line), 60))
    plain = base64.urlsafe_b64encode(_dump(thing)).decode()
    for text in (
        line,
        f"Dear teacher,\n\n{line}\n\nSent from my phone",
        f"Hello\n> {wrapped}\n",
        f"{line}\n{line}",
        "GB0." + plain.rstrip("="),
        f"GB0.{plain}\nGreetings",
    ):
        got = _read(text.encode())
        assert (got.fault, got.form, got.answers, got.token) == (
            "",
            "line",
            ANSWERS,
            TOKEN,
        ), text


def test_a_byte_order_mark_and_sixteen_bits_do_no_harm():
    text = answer_file(TOKEN, ANSWERS).decode()
    for data in (text.encode("utf-8-sig"), text.encode("utf-16")):
        assert _read(data).answers == ANSWERS


def test_a_token_that_a_notebook_lost_is_found_in_the_name_of_the_file():
    thing = _book(metadata={})
    assert _read(_dump(thing)).token == TOKEN  # it stands in the head of the sheet
    thing["cells"][0]["source"] = "# My sheet"
    data = _dump(thing)
    assert "lost its token" in _read(data).fault
    assert _read(data, f"Ada/{TOKEN.lower()} (1).ipynb").token == TOKEN


def _issued():
    """Return a sheet's notebook as it was issued, with every answer filled in."""
    thing = json.loads(notebook.notebook(a_sheet()))
    answers = {}
    for cell in thing["cells"]:
        key = cell["metadata"].get("glossbook", {}).get("part")
        if key:
            answers[key] = f"{len(answers) + 1} g"
            cell["source"] = f'answer = "{answers[key]}"'
        elif cell["metadata"].get("glossbook", {}).get("working") == "1a":
            cell["source"] += "two and two"
    return thing, answers


def _stripped(thing):
    """Take away what some programs leave out: metadata and the ids of cells."""
    cells = [{k: v for k, v in c.items() if k != "id"} for c in thing["cells"]]
    return {**thing, "metadata": {}, "cells": [{**c, "metadata": {}} for c in cells]}


def test_a_notebook_that_a_program_stripped_is_read_by_what_stands_in_it():
    thing, answers = _issued()
    assert any("." in key for key in answers)  # a table among them
    plain = _read(_dump(thing))
    got = _read(_dump(_stripped(thing)))
    assert (got.fault, got.problems) == ("", {})
    assert (got.token, got.answers, got.working) == (
        a_sheet().token,
        answers,
        {"1a": "two and two"},
    )
    assert got.answers == plain.answers
    assert got.working == plain.working


def test_a_stripped_notebook_is_left_to_a_person_where_its_order_was_changed():
    thing = _stripped(_issued()[0])
    asked = [n for n, c in enumerate(thing["cells"]) if c["source"].startswith("**")]
    first, second = asked[0], asked[1]
    cells = thing["cells"]
    cells[first], cells[second] = cells[second], cells[first]
    got = _read(_dump(thing))
    assert got.answers == {}
    assert "no reply cell" in got.fault


def test_a_notebook_of_an_older_format_is_read():
    thing, answers = _issued()
    for cell in thing["cells"]:
        if cell["cell_type"] == "code":
            cell["input"] = cell.pop("source")
    old = {"metadata": thing["metadata"], "nbformat": 3, "worksheets": [{"cells": thing["cells"]}]}
    assert _read(_dump(old)).answers == answers
    for worksheets in (None, 3, [], [3], [{"cells": 3}], [{"cells": [3]}]):
        assert _read(_dump({**old, "worksheets": worksheets})).fault


def test_of_a_damaged_file_it_is_still_known_whose_it_is():
    data = answer_file(TOKEN, ANSWERS)[:80]
    got = _read(data)
    assert "breaks off" in got.fault
    assert got.token == TOKEN
    assert _read(b"{broken", f"{TOKEN}.handin.json").token == TOKEN
    issued = a_sheet()  # the page itself was handed in, and not what it saves
    sent = worksheet.web_page(issued).encode()
    assert "holds no answers" in _read(sent).fault
    assert _read(sent).token == issued.token
    _read(b"{" + b"AAAA-AAAA-AAAA-AAAA-AAAA " * 100_000)  # in no time


def test_cells_are_found_wherever_they_were_moved_and_whatever_stands_between():
    thing = _book()
    random.Random(1).shuffle(thing["cells"])
    thing["cells"][3:3] = [
        {"cell_type": "code", "metadata": {}, "source": "import os"},
        7,
        None,
        [],
    ]
    assert _read(_dump(thing)).answers == ANSWERS


@pytest.mark.parametrize(
    ("source", "answer"),
    [
        ('answer = "12.5 g"', "12.5 g"),
        ("answer='12.5 g'  # I hope", "12.5 g"),
        (["# mine\n", 'answer = "12.5 g"\n'], "12.5 g"),
        ('answer = """12.5 g"""', "12.5 g"),
        ('answer = "12.5\\u00a0g"', "12.5\u00a0g"),
        ('answer = r"12.5 g"', "12.5 g"),
        ("answer = “12.5 g”", "12.5 g"),
        ("answer = ‘12.5 °C’", "12.5 °C"),
        ('answer = ""', ""),
        ("", ""),
        ("# nothing", ""),
    ],
)
def test_a_reply_cell_holds_one_text(source, answer):
    assert _one(source) == (answer, "")


@pytest.mark.parametrize(
    "source",
    [
        "answer = 12.5",
        'answer = "12.5 g',
        'answer = "1" + "2"',
        'answer = "1" "2"',
        'answer = f"{1}"',
        'answer = b"1"',
        'answer = "1"; import os',
        'import os\nanswer = "1"',
        'answer = other = "1"',
        'answer, b = "12"',
        'answer += "1"',
        'answer: str = "1"',
        '(answer := "1")',
        'reply = "1"',
        '__import__("os").system("touch ran")',
        "answer = " + "(" * 500 + '"1"' + ")" * 500,
        "answer = " + '"' + "x" * 3000 + '"',
        'answer = "\\ud800" "',
        [1, 2, 3],
        {"a": 1},
        None,
        7,
    ],
)
def test_anything_else_in_a_reply_cell_cannot_be_read_and_is_never_run(
    source, tmp_path, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    answer, problem = _one(source)
    assert answer is None
    assert problem.endswith(".")
    assert list(tmp_path.iterdir()) == []


def test_a_doubled_cell_counts_once_and_only_if_both_say_the_same():
    for first, second, wanted in (
        ("1 g", "1 g", "1 g"),
        ("", "1 g", "1 g"),
        ("1 g", "", "1 g"),
    ):
        cells = [_cell(f'answer = "{text}"') for text in (first, second)]
        assert _read(_dump(_book(cells=cells))).answers == {"1a": wanted}
    cells = [_cell(f'answer = "{text}"') for text in ("1 g", "2 g")]
    assert "not alike" in _read(_dump(_book(cells=cells))).problems["1a"]


@pytest.mark.parametrize(
    ("source", "shown"),
    [
        ("answer = 337 g", "“answer = 337 g”"),
        ("import os\nanswer = '281 g'", "“import os answer = '281 g'”"),
        ("answer = 140", "“answer = 140”"),
        ("337 g\x1b[31m \ud800", "“337 g [31m”"),
        ("x = 1 " * 500, f"“{('x = 1 ' * 10).strip()} …”"),
    ],
)
def test_who_has_to_read_a_cell_by_hand_is_shown_what_it_says(source, shown):
    answer, problem = _one(source)
    assert answer is None
    assert problem.startswith(f"The cell says {shown}. ")
    json.dumps(problem).encode()


def test_who_has_to_read_an_answer_by_hand_is_shown_how_it_begins():
    answers = {"1a": 337, "1b": "about " * 60, "1c": 10**400}
    got = _read(_dump({"glossbook": 1, "token": TOKEN, "answers": answers}))
    assert got.problems["1a"].startswith("It is not text: the file says “337”.")
    assert "“1000" in got.problems["1c"]
    assert "360 characters long and begins “about about" in got.problems["1b"]
    cells = [_cell(f'answer = "{text}"') for text in ("1 g", "2 g")]
    assert "not alike: “1 g” and “2 g”." in _read(_dump(_book(cells=cells))).problems["1a"]


def test_an_answer_that_is_no_text_spoils_only_itself():
    answers = {
        "1a": "1 g",
        "1b": 5,
        "1c": None,
        "2a": ["x"],
        "2b": "x" * 300,
        "2c": "\ud800",
        "zz": "1",
    }
    got = _read(_dump({"glossbook": 1, "token": TOKEN, "answers": answers}))
    assert got.fault == ""
    assert got.answers == {"1a": "1 g"}
    assert sorted(got.problems) == ["1b", "1c", "2a", "2b", "2c"]


def test_working_is_kept_as_plain_text_of_a_bounded_length():
    working = {"1a": "a\x00b\u202ec\ud800", "1b": "x" * 50_000, "1c": 5, "1d": "  "}
    got = _read(_dump({"glossbook": 1, "token": TOKEN, "answers": {}, "working": working}))
    assert got.working["1a"] == "abc\\ud800"
    assert len(got.working["1b"]) < 11_000
    assert sorted(got.working) == ["1a", "1b"]
    json.dumps(got.working).encode()


# --- what is not ------------------------------------------------------------------------

HOSTILE = {
    "empty": (b"", "empty"),
    "blank": (b" \n ", "empty"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"0" * 100, "picture"),
    "a PDF": (b"%PDF-1.7 ...", "PDF"),
    "prose": (b"Dear teacher, I could not do it.", "not a hand-in"),
    "the sheet itself": (b"<!doctype html><title>Sheet</title>", "web page"),
    "the sheet with its script": (b'<!doctype html><script>"GB1." + x</script>', "web page"),
    "bytes": (bytes(range(128, 256)), "no text"),
    "a list": (b"[1, 2]", "not a hand-in"),
    "another JSON": (b'{"a": 1}', "not a hand-in"),
    "truncated": (answer_file(TOKEN, ANSWERS)[:-30], "breaks off"),
    "a truncated notebook": (notebook_file(TOKEN, ANSWERS)[:-500], "breaks off"),
    "damaged": (answer_file(TOKEN, ANSWERS).replace(b":", b";", 1), "damaged"),
    "enormous": (b'{"glossbook": 1, "x": "' + b"x" * 6_000_000 + b'"}', "MB"),
    "deep": (b'{"glossbook":' + b"[" * 60_000 + b"]" * 60_000 + b"}", "nested"),
    "deeper": (b'{"cells":' + b"[" * 2_400_000 + b"]" * 2_400_000 + b"}", "far more"),
    "commas": (b'{"cells":[' + b"1," * 2_000_000 + b"1]}", "far more"),
    "NaN": (b'{"glossbook": 1, "x": NaN}', "NaN"),
    "Infinity": (b'{"glossbook": 1, "x": -Infinity}', "Infinity"),
    "a big number": (b'{"glossbook": 1, "x": ' + b"9" * 5000 + b"}", "thousands of digits"),
    "a doubled key": (b'{"glossbook": 1, "token": "a", "token": "b"}', '"token" twice'),
    "a doubled answer": (b'{"glossbook": 1, "answers": {"1a": "1", "1a": "2"}}', '"1a" twice'),
    "another version": (b'{"glossbook": 2}', "another version"),
    "true for a version": (b'{"glossbook": true}', "another version"),
    "a list for answers": (b'{"glossbook": 1, "answers": []}', "table of answers"),
    "a number for a token": (b'{"glossbook": 1, "token": 5}', "not text"),
    "a changed token": (answer_file(TOKEN[:-1] + "?", {}), "changed"),
    "no token": (b'{"glossbook": 1, "answers": {"1a": "1 g"}}', "lost its token"),
    "no cells": (_dump(_book(cells=[])), "no reply cell"),
    "cells that are none": (_dump(_book(cells={})), "not a list"),
    "200,000 cells": (
        b'{"cells":[' + b'{"cell_type":1},' * 200_000 + b"{}]}",
        "cells",
    ),
    "a broken line": (b"GB1.AAAA", "damaged"),
    "a line that breaks off": (
        pack_line({"glossbook": 1, "x": "abcdefgh" * 9})[:-20].encode(),
        "breaks off",
    ),
    "a line with a bomb": (pack_line({"x": "0" * 5_000_000}).encode(), "far more"),
    "a line that is no JSON": (b"GB0.aGVsbG8", "damaged"),
    "two lines": (
        f"{pack_line({'glossbook': 1})}. {pack_line({'glossbook': 1, 'a': 1})}".encode(),
        "two different",
    ),
    "an endless line": (b"GB1." + b"A" * 300_000, "characters"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_cannot_be_read_says_why_within_a_second(name):
    data, words = HOSTILE[name]
    got = _read(data)
    assert words in got.fault
    assert got.fault.endswith(".")


def test_names_of_files_and_lone_surrogates_in_keys_do_no_harm():
    data = b'{"glossbook": 1, "token": "%s", "answers": {"\\ud800": "1", "1a": "2 g"}}'
    assert _read(data % TOKEN.encode()).answers == {"1a": "2 g"}


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_a_hand_in_with_any_bytes_changed_is_read_or_refused(data):
    make = data.draw(st.sampled_from([answer_file, notebook_file]))
    raw = bytearray(make(TOKEN, ANSWERS, WORKING))
    for _ in range(data.draw(st.integers(1, 8))):
        place = data.draw(st.integers(0, len(raw) - 1))
        how = data.draw(st.sampled_from(["set", "cut", "put"]))
        if how == "set":
            raw[place] = data.draw(st.integers(0, 255))
        elif how == "cut":
            del raw[place : place + data.draw(st.integers(0, 50))]
        else:
            raw[place:place] = data.draw(
                st.sampled_from([b"[", b"{", b'"', b"NaN", b"\\ud800", b"\xff", b"9" * 400])
            )
        if not raw:
            break
    got = _read(bytes(raw))
    assert got.fault or got.token
    json.dumps([got.answers, got.problems, got.working, got.fault]).encode()


_json_things = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                ["cells", "metadata", "glossbook", "part", "token", "source", "answers", "1a"]
            ),
            inner,
            max_size=5,
        )
    ),
    max_leaves=15,
)


@settings(max_examples=300, deadline=None)
@given(_json_things, st.sampled_from(["cells", "metadata", "answers", "token", "working"]))
def test_any_structure_in_any_place_is_read_or_refused(thing, place):
    for whole in (_book(), json.loads(answer_file(TOKEN, ANSWERS))):
        got = _read(_dump({**whole, place: thing}), f"{TOKEN}.json")
        assert all(isinstance(v, str) for v in got.answers.values())


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=120))
def test_any_source_is_a_reply_or_is_refused(text):
    try:
        got = reply(text)
    except hand_in.NotReadable as reason:
        got = str(reason)
    assert isinstance(got, str)


# --- archives -------------------------------------------------------------------------------


def _zip(members, **how):
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in members:
            made.writestr(name, data, **how)
    return into.getvalue()


def _listed(data):
    archive = Archive(io.BytesIO(data))
    out = list(archive.members())
    archive.close()
    return archive.fault, out


def _members(data):
    return within(1, lambda: _listed(data))


@pytest.mark.parametrize(
    ("names", "what"),
    [
        (["[Content_Types].xml", "word/document.xml"], "a word processor's file"),
        (["[Content_Types].xml", "xl/workbook.xml"], "a spreadsheet"),
        (["mimetype", "content.xml"], "a document of an office program"),
        (["Index/Document.iwa", "preview.jpg"], "a word processor's file"),
    ],
)
def test_a_document_that_is_an_archive_inside_is_one_file_and_not_many(names, what):
    fault, members = _members(_zip([(name, b"x") for name in names]))
    assert fault == f"It is {what}, not a hand-in. Look at it by hand."
    assert members == []


def test_the_members_of_an_archive_are_read_in_memory():
    fault, members = _members(_zip([("a/b.json", b"1"), ("c.json", b"2")]))
    assert fault == ""
    assert [(m.name, m.data, m.fault) for m in members] == [
        ("a/b.json", b"1", ""),
        ("c.json", b"2", ""),
    ]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("../up.json", "outside"),
        ("a/../../b", "outside"),
        ("/etc/x", "outside"),
        ("C:\\x", "outside"),
        ("a\\..\\b", "outside"),
        ("CON", "reserved"),
        ("a/nul.json", "reserved"),
        ("lpt1", "reserved"),
        ("a\u202eb", "invisible"),
        ("x" * 500, "too long"),
    ],
)
def test_a_hostile_name_is_not_read_and_the_rest_is(name, words):
    _, members = _members(_zip([(name, b"1"), ("good.json", b"2")]))
    assert words in members[0].fault
    assert members[0].data == b""
    assert members[1].data == b"2"


def test_names_that_some_systems_take_for_one_are_told():
    _, members = _members(_zip([("Caf\u00e9.json", b"1"), ("CAFE\u0301.json", b"2")]))
    assert [bool(m.fault) for m in members] == [False, True]


def test_links_locked_members_and_other_packings_are_told():
    info = zipfile.ZipInfo("link")
    info.external_attr = 0o120777 << 16
    assert "link" in _members(_zip([(info, b"/etc/passwd")]))[1][0].fault
    locked = bytearray(_zip([("a", b"1")]))
    locked[locked.rfind(b"PK\x01\x02") + 8] |= 1
    assert "password" in _members(bytes(locked))[1][0].fault
    assert (
        "not opened"
        in _members(_zip([("a", b"1" * 100)], compress_type=zipfile.ZIP_LZMA))[1][0].fault
    )


def test_bombs_are_not_unpacked():
    _, members = _members(_zip([("a.json", b"0" * 4_900_000), ("b.json", b"0" * 9_000_000)]))
    assert "hundreds of times" in members[0].fault
    assert "MB" in members[1].fault
    liar = bytearray(_zip([("a.json", b"0" * 6_000_000)]))
    for sign, place in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        at = liar.rfind(sign) + place
        liar[at : at + 4] = (100).to_bytes(4, "little")
    assert _members(bytes(liar))[1][0].fault


def test_damaged_and_empty_archives_are_told():
    whole = _zip([("a.json", b"12345" * 100)])
    assert "damaged" in _members(whole[:-10])[0]
    assert "nothing in it" in _members(_zip([]))[0]
    broken = bytearray(whole)
    broken[45] ^= 255
    assert "damaged" in _members(bytes(broken))[1][0].fault


def test_an_archive_of_too_many_files_is_refused_and_none_is_read():
    many = _zip([(f"{n}", b"") for n in range(20_050)])
    fault, members = _members(many)
    assert "more than" in fault
    assert members == []
    huge = bytearray(_zip([("a", b"")]))
    at = huge.rfind(b"PK\x05\x06") + 12
    huge[at : at + 4] = (0xFFFFFFF0).to_bytes(4, "little")
    assert "more than" in _members(bytes(huge))[0]


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_an_archive_with_any_bytes_changed_never_stops_the_reading(data):
    raw = bytearray(_zip([("a.json", answer_file(TOKEN, ANSWERS)), ("b/c.ipynb", b"{}")]))
    for _ in range(data.draw(st.integers(1, 6))):
        raw[data.draw(st.integers(4, len(raw) - 1))] = data.draw(st.integers(0, 255))
    fault, members = _members(bytes(raw))
    assert fault or members
