"""A file is put in its place whole or not at all, and what can't be done is told."""

import pytest

from calculators.faults import FaultsError
from exercises.files.writing import make_folder, write


@pytest.mark.parametrize(
    ("content", "held"),
    [
        ("Grüße\n", b"Gr\xc3\xbc\xc3\x9fe\n"),
        (b"\x00\xff", b"\x00\xff"),
        (iter(["one\n", "two\n"]), b"one\ntwo\n"),
    ],
)
def test_text_bytes_and_pieces_are_written_as_they_are(tmp_path, content, held):
    write(tmp_path / "a", content)
    assert (tmp_path / "a").read_bytes() == held
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


@pytest.mark.parametrize("before", ["", "as it was"])
def test_a_disk_that_fills_up_halfway_leaves_what_was_there(tmp_path, before):
    if before:
        (tmp_path / "a").write_text(before)

    def pieces():
        yield "half of it"
        raise OSError(28, "No space left on device")

    with pytest.raises(FaultsError, match=r"a: can't be written.*No space left.*Make room"):
        write(tmp_path / "a", pieces())
    held = {path.name: path.read_text() for path in tmp_path.iterdir()}
    assert held == ({"a": before} if before else {})


def test_a_folder_in_whose_place_a_file_lies_is_told(tmp_path):
    (tmp_path / "a").write_text("in the way")
    with pytest.raises(FaultsError, match=r"a: can't be made.*Choose another folder"):
        make_folder(tmp_path / "a")
