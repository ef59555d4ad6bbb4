"""Nobody but the browser that the desk opened can read it or do anything with it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from calculators.faults import FaultsError
from course.desk.app import application
from course.desk.place import LOCK, OneDesk, Place, file_name, refuse_a_share
from tests.course.desk.conftest import HOST, Visitor

PAGES = ("/", "/scheme", "/course", "/papers", "/pile", "/matters", "/results", "/keeping")


@pytest.mark.parametrize("address", [*PAGES, "/under-way", "/practical", "/keeping/take"])
def test_a_browser_without_the_key_reads_nothing(tmp_path: Path, address: str) -> None:
    client = application(Place(tmp_path), (HOST,)).test_client()
    answer = client.get(address, headers={"Host": HOST})
    assert answer.status_code == 403
    assert "glossbook desk" in answer.get_data(as_text=True)


def test_a_wrong_key_opens_nothing(tmp_path: Path) -> None:
    client = application(Place(tmp_path), (HOST,)).test_client()
    assert client.get("/?key=guess", headers={"Host": HOST}).status_code == 403


def test_the_key_leaves_the_address_and_is_out_of_reach_of_scripts(tmp_path: Path) -> None:
    visitor = Visitor(application(Place(tmp_path), (HOST,)))
    answer = visitor.client.get(f"/?key={visitor.key}", headers={"Host": HOST})
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/"
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:4101", "desk.local:4100"])
def test_another_host_is_refused(visitor: Visitor, host: str) -> None:
    assert visitor.client.get("/", headers={"Host": host}).status_code == 421


def test_a_page_of_another_origin_can_do_nothing(visitor: Visitor) -> None:
    for origin in ("http://evil.example", "null", "http://127.0.0.1:4101"):
        assert visitor.post("/begin", Origin=origin).status_code == 403
    assert not visitor.app.extensions["desk"].place.scheme.exists()


def test_a_form_without_the_word_of_this_desk_is_refused(visitor: Visitor) -> None:
    for word in ("", "made.up", visitor.word()[:-1] + "x"):
        assert visitor.post("/begin", {"word": word}).status_code == 403
    assert not visitor.app.extensions["desk"].place.scheme.exists()


def test_a_request_that_is_sent_again_is_not_done_again(visitor: Visitor) -> None:
    word = visitor.word()
    assert visitor.post("/name", {"word": word, "name": "Ada Quill"}).status_code == 200
    again = visitor.post("/name", {"word": word, "name": "Somebody Else"})
    assert again.status_code == 409
    assert visitor.app.extensions["desk"].name == "Ada Quill"


def test_a_head_of_a_request_lets_nothing_be_done_twice(bramblemoor: Visitor) -> None:
    word = bramblemoor.word()
    sent = {"word": word, "name": "Ada Quill"}
    assert bramblemoor.post("/name", sent, **{"X-Word": word}).status_code == 200
    assert bramblemoor.post("/name", sent, **{"X-Word": word}).status_code == 409


def test_no_page_may_be_framed_or_run_what_is_not_the_desks_own(visitor: Visitor) -> None:
    policy = visitor.get("/").headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert "no-store" in visitor.get("/").headers["Cache-Control"]


@pytest.mark.parametrize(
    "way",
    ["../class.db", "..%2f..%2fetc%2fpasswd", "%2e%2e/scheme.toml", "letters/../../class.db", "\0"],
)
def test_no_way_leads_out_of_the_folder_of_reports(bramblemoor: Visitor, way: str) -> None:
    place = bramblemoor.app.extensions["desk"].place
    place.reports.mkdir()
    (place.folder / "class.db").write_bytes(b"held")
    assert bramblemoor.get(f"/results/kept/{way}").status_code == 404


def test_a_link_in_the_folder_of_reports_is_not_followed_out(bramblemoor: Visitor) -> None:
    place = bramblemoor.app.extensions["desk"].place
    place.reports.mkdir()
    (place.folder.parent / "secret.html").write_text("secret", encoding="utf-8")
    (place.reports / "report.html").symlink_to(place.folder.parent / "secret.html")
    assert bramblemoor.get("/results/kept/report.html").status_code == 404


def test_what_was_written_for_others_is_shown_alone_and_without_script(
    bramblemoor: Visitor,
) -> None:
    place = bramblemoor.app.extensions["desk"].place
    place.reports.mkdir()
    (place.reports / "report.html").write_text("<script>x</script>", encoding="utf-8")
    answer = bramblemoor.get("/results/kept/report.html")
    assert answer.status_code == 200
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    assert "script-src" not in answer.headers["Content-Security-Policy"]


def test_a_name_is_never_taken_as_mark_up(visitor: Visitor) -> None:
    visitor.post("/begin")
    page = visitor.post("/name", {"name": '"><script>alert(1)</script>'})
    assert "<script>alert" not in page.get_data(as_text=True)
    assert "&lt;script&gt;" in page.get_data(as_text=True)


def test_a_way_back_never_leads_to_another_host(visitor: Visitor) -> None:
    for back in ("//evil.example/", "http://evil.example/", "\\\\evil"):
        answer = visitor.post("/name", {"back": back}, follow=False)
        assert answer.headers["Location"] == "/"


def test_a_name_of_a_file_is_one_name() -> None:
    for given in ("../x", "..\\x", "/etc/x", "a/../x", "x\n", "C:x/x"):
        assert file_name(given) == "x"
    assert file_name("...") == "unnamed"


def test_a_second_desk_on_the_folder_is_told_where_the_first_is(tmp_path: Path) -> None:
    first = OneDesk(Place(tmp_path), "http://127.0.0.1:1/")
    with pytest.raises(FaultsError, match=r"another desk.*127\.0\.0\.1:1"):
        OneDesk(Place(tmp_path), "http://127.0.0.1:2/")
    first.let_go()
    OneDesk(Place(tmp_path), "http://127.0.0.1:2/").let_go()


def test_what_a_desk_that_was_killed_left_behind_is_in_nobodys_way(tmp_path: Path) -> None:
    (tmp_path / LOCK).write_text(json.dumps({"pid": 2**22 + 1, "address": "x"}), encoding="utf-8")
    OneDesk(Place(tmp_path), "http://127.0.0.1:2/").let_go()
    assert not (tmp_path / LOCK).exists()


def test_a_folder_on_a_share_is_refused_with_the_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("course.desk.place._far_away", lambda _: "nfs4")
    with pytest.raises(
        FaultsError, match=r"network share \(given: nfs4\).*Keep the folder on this"
    ):
        refuse_a_share(tmp_path)


def test_a_folder_of_this_machine_is_taken(tmp_path: Path) -> None:
    refuse_a_share(tmp_path)


def test_a_form_that_was_refused_may_be_put_right_and_sent_again(bramblemoor: Visitor) -> None:
    word = bramblemoor.word()
    sent = {"word": word, "press": "ask:no-such-question"}
    way = "/papers/syrups-and-gelatin/questions"
    assert bramblemoor.post(way, sent).status_code == 400
    right = {"word": word, "press": "ask:syrup-blend"}
    assert bramblemoor.post(way, right).status_code == 200
    assert bramblemoor.post(way, right).status_code == 409  # and what was done is not done again


def test_what_was_typed_into_a_refused_form_stands_on_the_page(bramblemoor: Visitor) -> None:
    bramblemoor.post("/papers/syrups-and-gelatin/draft")
    typed = {"by": "Ada <b>Quill", "hand_in_by": "2027-06-01"}
    answer = bramblemoor.post("/papers/syrups-and-gelatin/issue", typed | {"sitting": "9"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 400
    assert "Ada &lt;b&gt;Quill" in page
    assert "2027-06-01" in page
    assert "sitting" not in page.partition("What you typed")[2]


def test_the_way_back_from_a_fault_is_a_page_of_this_desk(bramblemoor: Visitor) -> None:
    way = "/papers/syrups-and-gelatin/issue"
    for came_from in ("http://evil.example/papers", f"http://{HOST}{way}", ""):
        page = bramblemoor.post(way, {"by": ""}, Referer=came_from).get_data(as_text=True)
        assert 'class="go" href="/papers"' in page
    page = bramblemoor.post(way, {"by": ""}, Referer=f"http://{HOST}/papers/a?b=1").text
    assert 'class="go" href="/papers/a?b=1"' in page
