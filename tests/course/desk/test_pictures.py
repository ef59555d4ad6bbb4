"""A photograph is dropped in, stripped, given words, and shown in the place of a plate."""

from __future__ import annotations

import html
import io
import re
import tomllib
import zlib
from pathlib import Path
from struct import pack
from typing import Any

import pytest
from PIL import Image

from course.scheme.reading import read_scheme
from exercises.craft import own_pictures, plates
from tests.course.desk.conftest import HOST, Visitor, text_of

ALT = "A round cake from the side. Along the upper edge the colour fades into brown."


@pytest.fixture(autouse=True)
def own() -> Any:
    yield
    own_pictures.load(None)


def path_of(visitor: Visitor) -> Path:
    path: Path = visitor.app.extensions["desk"].place.scheme
    return path


def photograph(size: tuple[int, int] = (1600, 1200), kind: str = "JPEG") -> bytes:
    """Return a picture as a camera writes it: lying on its side, with a place and a name."""
    exif = Image.Exif()
    exif[0x010F] = "CAMERA-OF-SOMEBODY"
    exif[0x0112] = 6  # turn it by a quarter
    exif.get_ifd(0x8825).update({1: "N", 2: (48.0, 12.0, 5.0)})
    held = io.BytesIO()
    picture = Image.new("RGB", size, (120, 60, 30))
    picture.paste((250, 240, 220), (0, 0, size[0] // 2, size[1]))
    picture.save(held, kind, exif=exif) if kind != "GIF" else picture.save(held, kind)
    return held.getvalue()


def digest_of(visitor: Visitor) -> str:
    found = re.search(r'name="digest" value="(\w+)"', visitor.get("/scheme/pictures").text)
    assert found
    return found[1]


def put_in(visitor: Visitor, data: bytes | None, file: str = "p.jpg", **given: str) -> Any:
    asked: dict[str, Any] = {"name": "thin-rim", "alt": ALT, "digest": digest_of(visitor), **given}
    if data is not None:
        asked["picture"] = (io.BytesIO(data), file)
    return visitor.client.post(
        "/scheme/pictures",
        data={"word": visitor.word(), **asked},
        headers={"Host": HOST, "Origin": f"http://{HOST}"},
        content_type="multipart/form-data",
        follow_redirects=True,
    )


def test_a_photograph_takes_the_place_of_its_plates_with_nothing_but_its_pixels(
    bramblemoor: Visitor,
) -> None:
    before = path_of(bramblemoor).read_text(encoding="utf-8")
    answer = put_in(bramblemoor, photograph((3600, 2700)), caption="From our own bench.")
    assert answer.status_code == 200, text_of(answer)
    kept = path_of(bramblemoor).parent / "pictures" / "thin-rim.jpg"
    data = kept.read_bytes()
    assert b"CAMERA-OF-SOMEBODY" not in data
    with Image.open(kept) as picture:
        assert dict(picture.getexif()) == {}
        assert picture.size == (1800, 2400)  # upright, and its longer side is kept to 2400
    after = path_of(bramblemoor).read_text(encoding="utf-8")
    assert after == before + '\n[own]\npictures = "pictures"\n'
    own_pictures.load(read_scheme(path_of(bramblemoor)).pictures_folder)
    shown = plates.of_state("thin rim")[0]
    assert (shown.alt, shown.caption) == (ALT, "From our own bench.")
    page = answer.get_data(as_text=True)
    address = re.search(r'src="(/scheme/pictures/own/\w+\.webp)"', page)
    assert address
    served = bramblemoor.get(address[1])
    assert served.mimetype == "image/webp"
    with Image.open(io.BytesIO(served.data)) as picture:
        assert picture.size == (400, 300)  # as every page shows it
    assert served.data == shown.file(400).read_bytes()


def test_a_folder_that_the_scheme_names_is_used(bramblemoor: Visitor) -> None:
    path = path_of(bramblemoor)
    path.with_name("mine").mkdir()
    path.write_text(
        path.read_text(encoding="utf-8") + '\n[own]\npictures = "mine"\n', encoding="utf-8"
    )
    before = path.read_bytes()
    assert put_in(bramblemoor, photograph()).status_code == 200
    assert (path.with_name("mine") / "thin-rim.jpg").is_file()
    assert path.read_bytes() == before


def bomb() -> bytes:
    """Return a small file of a picture that would fill the memory."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return pack(">I", len(data)) + kind + data + pack(">I", zlib.crc32(kind + data))

    head = pack(">IIBBBBB", 12_000, 12_000, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * 1000)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("data", "file", "said"),
    [
        (None, "", "was not given"),
        (b"", "p.jpg", "was not given"),
        (b"no picture", "p.jpg", "is not a picture that can be read"),
        (
            b'<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>',
            "p.svg",
            "is not a picture that can be read",
        ),
        (photograph(kind="GIF"), "p.gif", "is not a picture that can be read"),
        (photograph()[:4000], "p.jpg", "is not a picture that can be read"),
        (photograph((700, 500)), "p.jpg", "is too small to be seen"),
        (bomb(), "p.png", "is too large.*million pixels"),
        (b"\xff\xd8" + b"\0" * (30 * 1024 * 1024), "p.jpg", "is too large"),
    ],
)
def test_what_is_no_picture_is_refused_and_nothing_is_written(
    bramblemoor: Visitor, data: bytes | None, file: str, said: str
) -> None:
    before = path_of(bramblemoor).read_bytes()
    answer = put_in(bramblemoor, data, file)
    assert answer.status_code == 400
    told = re.search(r'id="no-picture">([^<]*)<', answer.get_data(as_text=True))
    assert told
    assert re.search(said, told[1])
    assert ALT in answer.get_data(as_text=True)  # what was typed is still there
    assert not (path_of(bramblemoor).parent / "pictures").exists()
    assert path_of(bramblemoor).read_bytes() == before


@pytest.mark.parametrize(
    ("given", "where", "said"),
    [
        ({"alt": "A cake"}, "alt", "At least 5 words"),
        ({"alt": "A round cake whose rim is much too thin."}, "alt", "gives away what is asked"),
        ({"alt": ALT + "\x00"}, "alt", "is no line of text"),
        ({"caption": "x" * 501}, "caption", "at most 500"),
        ({"name": "../../evil"}, "name", "is no plate's"),
        ({"name": "thin rim/../x"}, "name", "is no plate's"),
        ({"plate": "p999"}, "name", "is no plate's"),
        ({"name": ""}, "name", "is no plate's"),
    ],
)
def test_words_and_places_that_will_not_do_are_told_beside_their_gap(
    bramblemoor: Visitor, given: dict[str, str], where: str, said: str
) -> None:
    answer = put_in(bramblemoor, photograph(), **given)
    assert answer.status_code == 400
    told = re.search(rf'id="no-{where}">([^<]*)<', answer.get_data(as_text=True))
    assert told
    assert said in html.unescape(told[1])
    assert not list(path_of(bramblemoor).parent.rglob("*.jpg"))


def test_a_word_gives_nothing_away_inside_another_one(bramblemoor: Visitor) -> None:
    # "hot" would name a thin rim; it does not in "photograph".
    alt = "A photograph of a round cake, brown along its upper edge."
    assert put_in(bramblemoor, photograph(), alt=alt).status_code == 200


def test_the_name_that_a_file_comes_with_names_nothing(bramblemoor: Visitor) -> None:
    assert put_in(bramblemoor, photograph(), "../../scheme.toml").status_code == 200
    made = sorted(p.name for p in (path_of(bramblemoor).parent / "pictures").iterdir())
    assert made == ["pictures.toml", "thin-rim.jpg"]


def test_a_picture_for_one_plate_stands_before_one_for_all_of_its_state(
    bramblemoor: Visitor,
) -> None:
    one = plates.of_state("thin rim")[1].id
    put_in(bramblemoor, photograph(), alt="Of all: a cake with a brown edge.")
    put_in(bramblemoor, photograph(), plate=one, alt="Of one: a cake with a brown edge.")
    own_pictures.load(read_scheme(path_of(bramblemoor)).pictures_folder)
    said = {plate.id: plate.alt for plate in plates.of_state("thin rim")}
    assert said.pop(one).startswith("Of one")
    assert all(alt.startswith("Of all") for alt in said.values())


def test_words_are_changed_and_a_remark_beside_them_stays(bramblemoor: Visitor) -> None:
    put_in(bramblemoor, photograph())
    words = path_of(bramblemoor).parent / "pictures" / "pictures.toml"
    words.write_text("# Asked Ilse.\n" + words.read_text(encoding="utf-8"), encoding="utf-8")
    new = "A round cake, brown along its upper edge."
    assert put_in(bramblemoor, None, alt=new, action="words").status_code == 200
    text = words.read_text(encoding="utf-8")
    assert text.startswith("# Asked Ilse.\n")
    assert tomllib.loads(text) == {"thin-rim": {"alt": new}}


def test_a_picture_is_taken_away_and_the_rendered_one_comes_back(bramblemoor: Visitor) -> None:
    put_in(bramblemoor, photograph())
    asked = {"digest": digest_of(bramblemoor), "name": "thin-rim"}
    assert bramblemoor.post("/scheme/pictures/away", asked).status_code == 200
    folder = path_of(bramblemoor).parent / "pictures"
    assert not (folder / "thin-rim.jpg").exists()
    own_pictures.load(folder)
    assert plates.of_state("thin rim")[0].caption.endswith(plates.DISCLAIMER)


def test_nothing_but_a_picture_is_taken_away(bramblemoor: Visitor) -> None:
    put_in(bramblemoor, photograph())
    for name in ("../scheme", "pictures", "../class", ""):
        asked = {"digest": digest_of(bramblemoor), "name": name}
        bramblemoor.post("/scheme/pictures/away", asked)
    assert path_of(bramblemoor).is_file()
    assert (path_of(bramblemoor).parent / "pictures" / "pictures.toml").is_file()


def test_a_folder_that_changed_meanwhile_is_not_written_to(bramblemoor: Visitor) -> None:
    put_in(bramblemoor, photograph())
    held = digest_of(bramblemoor)
    kept = path_of(bramblemoor).parent / "pictures" / "thin-rim.jpg"
    put_in(bramblemoor, photograph((2000, 1500)))
    newer = kept.read_bytes()
    other = "Quite another cake with a brown edge."
    answer = put_in(bramblemoor, photograph(), alt=other, digest=held)
    assert answer.status_code == 400
    assert "was changed by somebody else" in text_of(answer)
    assert other in answer.get_data(as_text=True)
    assert kept.read_bytes() == newer


@pytest.mark.parametrize("name", ["..", "/tmp", "x/../..", "."])
def test_no_folder_outside_the_scheme_s_is_written_to(bramblemoor: Visitor, name: str) -> None:
    path = path_of(bramblemoor)
    path.write_text(
        path.read_text(encoding="utf-8") + f'\n[own]\npictures = "{name}"\n', encoding="utf-8"
    )
    assert bramblemoor.get("/scheme/pictures").status_code == 400
    answer = bramblemoor.post("/scheme/pictures", {"digest": "x", "name": "thin-rim", "alt": ALT})
    assert answer.status_code == 400


@pytest.mark.parametrize(
    "way", ["rendered/p999", "rendered/..%2f..%2fplates", "else/p102", "own/p102"]
)
def test_no_other_file_is_served(bramblemoor: Visitor, way: str) -> None:
    assert bramblemoor.get(f"/scheme/pictures/{way}.webp").status_code == 404


def test_while_one_types_the_words_are_looked_at(bramblemoor: Visitor) -> None:
    word = bramblemoor.word()
    asked = {"word": word, "name": "dull", "alt": "A cake with a matt top, seen from above."}
    told = bramblemoor.post("/scheme/pictures/try", asked, **{"X-Word": word}).get_json()
    assert "gives away what is asked for (given: matt)" in told["faults"]["alt"]
    assert not (path_of(bramblemoor).parent / "pictures").exists()
