"""Two windows on one thing, a request sent twice, a desk killed: nothing lost, nothing twice."""

from __future__ import annotations

import io
import json
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.parse
import urllib.request
from collections.abc import Callable
from datetime import datetime
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import pytest

from course.desk.scheme_file import keep
from exercises.book.book import open_book
from exercises.book.records import Matter
from exercises.questions.answer_boxes import answer_boxes
from tests.course.desk.conftest import Visitor, text_of

PAPER = "syrups-and-gelatin"
CODE = "from course.cli.commands import main; main()"


def place(visitor: Visitor) -> Any:
    return visitor.app.extensions["desk"].place


def another(visitor: Visitor) -> Visitor:
    """Return a second window on the same desk."""
    made = Visitor(visitor.app)
    made.opened()
    return made


@pytest.fixture
def unread(bramblemoor: Visitor) -> tuple[Visitor, Matter]:
    """One hand-in, late, with an answer that can't be read, and the matter of that answer."""
    assert bramblemoor.issue(PAPER).state == "done"
    with open_book(place(bramblemoor).book) as book:
        sheet = book.sheets(PAPER)[0]
    given = {b.key: b.part.exact_answer() for b in answer_boxes(sheet.questions)}
    part = next(b for b in answer_boxes(sheet.questions) if "Quantity" in type(b.part).__name__)
    held = {"glossbook": 1, "token": sheet.token, "answers": given | {part.key: "3 or so to 9 g"}}
    bramblemoor.client.post(
        "/pile",
        data={
            "word": bramblemoor.word(),
            "received": "2027-05-01",
            "by": "Marit Oswin",
            "files": (io.BytesIO(json.dumps(held).encode()), "one.json"),
        },
        headers={"Host": "127.0.0.1:4100"},
    )
    assert bramblemoor.worked().state == "done"
    with open_book(place(bramblemoor).book) as book:
        matter = next(one for one in book.matters(waiting=True) if one.part == part.key)
    return bramblemoor, matter


def seen(answer: Any) -> str:
    found = re.search(r'name="seen" value="(\w+)"', answer.get_data(as_text=True))
    assert found, text_of(answer)
    return found[1]


# --- a matter ------------------------------------------------------------------------------------


def test_the_second_window_on_a_matter_is_refused_and_its_note_is_not_lost(
    unread: tuple[Visitor, Matter],
) -> None:
    first, matter = unread
    second = another(first)
    asked = {"matter": str(matter.id), "part": matter.part, "marks": "1"}
    other = {**asked, "marks": "2"}
    shown = [first.post("/matters/decide", asked), second.post("/matters/decide", other)]
    sure = {**asked, "sure": "yes", "seen": seen(shown[0]), "by": "Ilse Varga", "reason": "A"}
    assert first.post("/matters/decide", sure).status_code == 200
    late = {
        **other,
        "sure": "yes",
        "seen": seen(shown[1]),
        "by": "Tom Weld",
        "tell": "Well set out",
    }
    refused = second.post("/matters/decide", {**late, "reason": "The range is right"})
    assert refused.status_code == 400
    said = text_of(refused)
    assert "was decided meanwhile (given: by Ilse Varga: A)" in said
    assert "The range is right" in said
    assert "Well set out" in said
    with open_book(place(first).book) as book:
        assert [d.by for d in book.decisions(matter.handin)] == ["Ilse Varga"]
        assert {m.part: m.awarded for m in book.marks(matter.handin)}[matter.part] == 1
        assert not book.verify("").faults


def test_a_mark_that_moved_since_the_preview_is_shown_again_and_nothing_is_decided(
    unread: tuple[Visitor, Matter],
) -> None:
    first, matter = unread
    with open_book(place(first).book) as book:
        mark = next(m for m in book.marks(matter.handin) if m.awarded >= 2)
        late = next(one for one in book.matters(waiting=True) if one.kind == "late")
    asked = {"matter": str(late.id), "part": mark.part, "marks": "0.5"}
    shown = first.post("/matters/decide", asked)
    with open_book(place(first).book) as book:  # as another window does
        detail = {"awarded": 1.0, "reason": "Seen"}
        book.decide("marks", by="Tom Weld", reason="B", mark=mark.id, detail=detail)
    sure = {**asked, "sure": "yes", "seen": seen(shown), "by": "Ilse Varga", "reason": "My note"}
    again = first.post("/matters/decide", sure)
    page = again.get_data(as_text=True)
    assert "This is not what was shown before" in text_of(again)
    assert f"{mark.part}: 1 → 0.5 of" in text_of(again)
    assert 'value="My note"' in page
    assert 'value="Ilse Varga"' in page
    with open_book(place(first).book) as book:
        assert [d.by for d in book.decisions(matter.handin)] == ["Tom Weld"]
        assert {m.part: m.awarded for m in book.marks(matter.handin)}[mark.part] == 1.0
    assert first.post("/matters/decide", {**sure, "seen": seen(again)}).status_code == 200
    with open_book(place(first).book) as book:
        assert {m.part: m.awarded for m in book.marks(matter.handin)}[mark.part] == 0.5


def test_a_decision_that_is_sent_again_counts_once(unread: tuple[Visitor, Matter]) -> None:
    first, matter = unread
    asked = {"matter": str(matter.id), "part": matter.part, "marks": "1"}
    word, shown = first.word(), first.post("/matters/decide", asked)
    sure = {**asked, "sure": "yes", "seen": seen(shown), "by": "Ilse Varga", "reason": "A"}
    assert first.post("/matters/decide", {**sure, "word": word}).status_code == 200
    assert first.post("/matters/decide", {**sure, "word": word}).status_code == 409
    with open_book(place(first).book) as book:
        assert len(book.decisions(matter.handin)) == 1


def test_two_windows_that_decide_at_the_same_moment_make_one_decision(
    unread: tuple[Visitor, Matter],
) -> None:
    first, matter = unread
    told: list[str] = []

    def decide(window: Visitor, by: str, form: dict[str, str]) -> None:
        told.append(text_of(window.post("/matters/decide", {**form, "by": by})))

    asked = {"matter": str(matter.id), "part": matter.part, "marks": "1"}
    sure = {**asked, "sure": "yes", "seen": seen(first.post("/matters/decide", asked))}
    sure["reason"] = "A"
    windows = [
        threading.Thread(target=decide, args=(another(first), f"Reader {n}", sure))
        for n in range(4)
    ]
    for one in windows:
        one.start()
    for one in windows:
        one.join(60)
    late = ("was decided meanwhile", "is closed", "This is not what was shown before")
    assert sum(any(words in page for words in late) for page in told) == 3
    with open_book(place(first).book) as book:
        assert len(book.decisions(matter.handin)) == 1
        assert not book.verify("").faults


# --- the scheme, a paper ----------------------------------------------------------------------


def digest(answer: Any) -> str:
    found = re.search(r'name="digest" value="(\w+)"', answer.get_data(as_text=True))
    assert found
    return found[1]


def test_the_second_window_on_the_scheme_is_refused_and_what_it_typed_is_kept(
    bramblemoor: Visitor,
) -> None:
    second = another(bramblemoor)
    shown = [digest(window.get("/scheme")) for window in (bramblemoor, second)]
    first = {"digest": shown[0], "at:kitchen.room": "25 °C"}
    assert bramblemoor.post("/scheme", first).status_code == 200
    late = {"digest": shown[1], "at:kitchen.altitude": "3640 m"}
    refused = second.post("/scheme", late)
    assert refused.status_code == 400
    assert "3640 m" in text_of(refused)
    text = place(bramblemoor).scheme.read_text(encoding="utf-8")
    assert 'room = "25 °C"' in text
    assert "3640" not in text
    (kept,) = place(bramblemoor).folder.glob("scheme as typed *.toml")
    assert 'altitude = "3640 m"' in kept.read_text(encoding="utf-8")


def test_the_second_window_on_the_file_itself_is_refused_and_its_text_is_kept(
    bramblemoor: Visitor,
) -> None:
    second = another(bramblemoor)
    shown = digest(second.get("/scheme/text"))
    bramblemoor.post(f"/papers/{PAPER}/questions", {"press": "ask:syrup-blend"})
    text = place(bramblemoor).scheme.read_text(encoding="utf-8")
    typed = text.replace("430 m", "3640 m")
    assert second.post("/scheme/text", {"digest": shown, "text": typed}).status_code == 400
    assert place(bramblemoor).scheme.read_text(encoding="utf-8") == text
    (kept,) = place(bramblemoor).folder.glob("scheme as typed *.toml")
    assert kept.read_text(encoding="utf-8") == typed


def test_what_two_windows_typed_in_the_same_second_is_kept_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Still(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Still:
            return cls(2027, 3, 1, 12, 0, 0)

    monkeypatch.setattr("course.desk.scheme_file.datetime", Still)
    kept = [keep(tmp_path, text) for text in ("one", "two")]
    assert [path.read_text(encoding="utf-8") for path in kept] == ["one", "two"]


class Watched:
    """The lock of a desk; tells when somebody has to wait for it."""

    def __init__(self, lock: Any) -> None:
        self.lock, self.waited = lock, threading.Event()

    def __enter__(self) -> None:
        if self.lock.locked():
            self.waited.set()
        self.lock.acquire()

    def __exit__(self, *_: Any) -> None:
        self.lock.release()


def pressed_within(
    visitor: Visitor, monkeypatch: pytest.MonkeyPatch, where: str, press: Callable[[], Any]
) -> threading.Thread:
    """Let a second window press when the first has come to a function, and finish if it can."""
    desk = visitor.app.extensions["desk"]
    desk.saving = watched = Watched(desk.saving)
    second = threading.Thread(target=press)
    module, _, name = where.rpartition(".")
    held = getattr(sys.modules[module], name)

    def first(*asked: Any, **more: Any) -> Any:
        if second.ident is None:
            second.start()
            while second.is_alive() and not watched.waited.wait(0.01):
                pass
        return held(*asked, **more)

    monkeypatch.setattr(where, first)
    return second


def one_is_refused(
    visitor: Visitor, monkeypatch: pytest.MonkeyPatch, where: str, page: str, forms: list[Any]
) -> None:
    """Let two windows send a page their form, the second within the first: one is taken."""
    codes = []

    def save(window: Visitor, typed: Any) -> None:
        codes.append(window.post(page, typed).status_code)

    late = another(visitor)
    second = pressed_within(visitor, monkeypatch, where, lambda: save(late, forms[1]))
    save(visitor, forms[0])
    second.join(60)
    assert sorted(codes) == [200, 400]


@pytest.mark.parametrize("page", ["/scheme", "/scheme/text"])
def test_of_two_windows_that_save_the_scheme_at_the_same_moment_one_is_refused(
    bramblemoor: Visitor, monkeypatch: pytest.MonkeyPatch, page: str
) -> None:
    shown = digest(bramblemoor.get(page))
    text = place(bramblemoor).scheme.read_text(encoding="utf-8")
    forms = [
        {"digest": shown, "at:kitchen.altitude": high, "text": text.replace("430 m", high)}
        for high in ("1500 m", "3640 m")
    ]
    one_is_refused(bramblemoor, monkeypatch, "course.desk.pages.scheme.look_at", page, forms)
    assert 'altitude = "1500 m"' in place(bramblemoor).scheme.read_text(encoding="utf-8")
    (kept,) = place(bramblemoor).folder.glob("scheme as typed *.toml")
    assert 'altitude = "3640 m"' in kept.read_text(encoding="utf-8")


def test_labels_that_are_saved_while_a_question_is_named_do_not_undo_it(
    bramblemoor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = digest(bramblemoor.get("/scheme/labels"))
    late = another(bramblemoor)
    second = pressed_within(
        bramblemoor,
        monkeypatch,
        "course.desk.pages.labels.look_at",
        lambda: late.post(f"/papers/{PAPER}/questions", {"press": "ask:syrup-blend"}),
    )
    bramblemoor.post("/scheme/labels", {"digest": shown})
    second.join(60)
    assert '"syrup-blend"' in place(bramblemoor).scheme.read_text(encoding="utf-8")


def test_a_class_list_that_is_saved_at_the_same_moment_is_not_written_over(
    bramblemoor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = digest(bramblemoor.get("/papers/class-list"))
    forms = [
        {"digest": shown, "text": f"id,name\nK-01,{name}\n"} for name in ("Ilse Varga", "Tom Weld")
    ]
    where, page = "course.desk.pages.papers.digest_of", "/papers/class-list"
    one_is_refused(bramblemoor, monkeypatch, where, page, forms)
    assert "Ilse Varga" in place(bramblemoor).class_list.read_text(encoding="utf-8")


def test_two_windows_that_issue_a_paper_give_everybody_one_sheet(bramblemoor: Visitor) -> None:
    bramblemoor.post(f"/papers/{PAPER}/draft")
    windows = [
        threading.Thread(
            target=another(bramblemoor).post,
            args=(f"/papers/{PAPER}/issue", {"by": f"Reader {n}"}),
        )
        for n in range(3)
    ]
    for one in windows:
        one.start()
    for one in windows:
        one.join(60)
    assert bramblemoor.worked().state == "done"
    with open_book(place(bramblemoor).book) as book:
        assert sorted(one.student for one in book.sheets(PAPER)) == sorted(book.students())
        assert len(book.sheets(PAPER)) == 12
        assert not book.verify("").faults


def test_issuing_that_is_sent_again_is_not_done_again(bramblemoor: Visitor) -> None:
    bramblemoor.post(f"/papers/{PAPER}/draft")
    sent = {"word": bramblemoor.word(), "by": "Marit Oswin"}
    assert bramblemoor.post(f"/papers/{PAPER}/issue", sent).status_code == 200
    assert bramblemoor.post(f"/papers/{PAPER}/issue", sent).status_code == 409
    bramblemoor.worked()
    with open_book(place(bramblemoor).book) as book:
        assert len(book.sheets(PAPER)) == 12


# --- the desk is killed ----------------------------------------------------------------------


class Running:
    """A desk in a process of its own, and a plain client of it."""

    def __init__(self, folder: Path) -> None:
        command = [sys.executable, "-c", CODE, "desk", str(folder), "--no-browser"]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        said = re.search(r"http://\S+", self.process.stdout.readline())
        assert said
        self.root = said[0].partition("?")[0].rstrip("/")
        cookies = urllib.request.HTTPCookieProcessor(CookieJar())
        self.opener = urllib.request.build_opener(cookies)
        self.opener.open(said[0], timeout=60).read()

    def get(self, way: str) -> str:
        return str(self.opener.open(self.root + way, timeout=60).read().decode())

    def post(self, way: str, page: str, **form: str) -> str:
        word = re.search(r'name="word" value="([^"]+)"', self.get(page))
        assert word
        data = urllib.parse.urlencode({"word": word[1], **form}).encode()
        return str(self.opener.open(self.root + way, data, timeout=60).read().decode())

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait(30)


def test_a_desk_killed_while_it_issues_leaves_one_whole_sheet_for_everybody(
    bramblemoor: Visitor,
) -> None:
    folder = place(bramblemoor).folder
    rows = "".join(f"K-{n:03},Student {n}\n" for n in range(60))
    (folder / "class.csv").write_text(f"id,name\n{rows}", encoding="utf-8")
    bramblemoor.post(f"/papers/{PAPER}/draft")
    way = f"/papers/{PAPER}"
    first = Running(folder)
    try:
        first.post(f"{way}/issue", way, by="Marit Oswin")
        end = time.monotonic() + 60
        while not any((folder / "sheets").rglob("*-paper.html")) and time.monotonic() < end:
            time.sleep(0.01)
    finally:
        first.kill()
    written = len(list((folder / "sheets").rglob("*-paper.html")))
    assert 0 < written < 60, "it was killed too early or too late to tell anything"
    with open_book(folder / "class.db") as book:
        before = {one.student: one.token for one in book.sheets(PAPER, needs="head")}
    second = Running(folder)
    try:
        assert "their files are not all here" in second.get(way)
        second.post(f"{way}/issue", way, by="Marit Oswin")
        end = time.monotonic() + 120
        while "It is done." not in second.get("/under-way") and time.monotonic() < end:
            time.sleep(0.2)
    finally:
        second.kill()
    with open_book(folder / "class.db") as book:
        after = {one.student: one.token for one in book.sheets(PAPER, needs="head")}
        assert len(after) == len(book.sheets(PAPER, needs="head")) == 60
        assert before.items() <= after.items()  # who had a sheet has it still
        assert not book.verify("").faults
    for token in after.values():
        forms = list((folder / "sheets").rglob(f"*{token}*"))
        assert len(forms) == 3, forms
    assert not list((folder / "sheets").rglob("*.part"))
