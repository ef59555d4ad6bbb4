"""The index of plates and its files: complete, small, described, and fair to a student."""

from collections import Counter
from importlib.util import find_spec

import pytest

from calculators.faults import FaultsError
from exercises.craft import plates

FAULTS = [s for s in plates.states().values() if s.kind == "fault"]
MB = 1_000_000


def pixels(data):
    """Return width and height from the first chunk of a WebP file (RFC 9649)."""
    assert data[:4] == b"RIFF"
    assert data[8:12] == b"WEBP"
    assert int.from_bytes(data[4:8], "little") + 8 == len(data)
    kind = data[12:16]
    if kind == b"VP8 ":
        assert data[23:26] == b"\x9d\x01\x2a"
        return tuple(int.from_bytes(data[k : k + 2], "little") & 0x3FFF for k in (26, 28))
    if kind == b"VP8L":
        assert data[20] == 0x2F
        bits = int.from_bytes(data[21:25], "little")
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    assert kind == b"VP8X"
    return tuple(int.from_bytes(data[k : k + 3], "little") + 1 for k in (24, 27))


@pytest.mark.parametrize("plate", plates.plates(), ids=lambda p: p.id)
@pytest.mark.parametrize("width", plates.WIDTHS)
def test_each_plate_has_a_small_webp_of_each_width(plate, width):
    data = plate.file(width).read_bytes()
    assert pixels(data) == plate.size(width)
    assert len(data) <= 60_000


def test_the_folder_holds_the_files_of_the_index_and_no_others():
    wanted = {plate.file(width).name for plate in plates.plates() for width in plates.WIDTHS}
    assert {path.name for path in plates.FOLDER.iterdir()} == wanted


def test_there_are_at_least_80_plates_and_a_quarter_is_kept():
    uses = Counter(plate.use for plate in plates.plates())
    assert sum(uses.values()) >= 80
    assert uses["kept"] >= sum(uses.values()) / 4


def test_the_files_weigh_little_in_the_repository_and_on_a_site():
    weights = Counter()
    for plate in plates.plates():
        weights[plate.use] += sum(plate.file(width).stat().st_size for width in plates.WIDTHS)
    assert weights.total() <= 12 * MB
    assert weights["shown"] <= 8 * MB


def test_ids_are_unique_and_tell_nothing():
    ids = [plate.id for plate in plates.plates()]
    assert len(set(ids)) == len(ids)
    for plate in plates.plates():
        if plate.kind != "title":
            assert plate.id[0] == "p"
            assert plate.id[1:].isdecimal()


@pytest.mark.parametrize("state", FAULTS, ids=lambda s: s.id)
def test_each_fault_is_shown_three_times_and_kept_twice_on_different_cakes(state):
    shown, kept = plates.of_state(state.id), plates.of_state(state.id, "kept")
    assert len(shown) >= 3
    assert len(kept) >= 2
    for trait in ("shape", "glaze", "light", "degree", "seed"):
        assert len({getattr(plate, trait) for plate in shown}) >= 2, trait
    assert len({plate.seed for plate in (*shown, *kept)}) == len(shown) + len(kept)


def test_there_are_the_eleven_faults_of_the_course():
    assert len(FAULTS) == 11


@pytest.mark.parametrize("plate", plates.plates(), ids=lambda p: p.id)
def test_the_second_alt_text_does_not_give_the_diagnosis_away(plate):
    state = plates.states()[plate.state]
    assert not [word for word in state.words if word in plate.plain_alt.lower()]
    if state.kind == "fault":
        assert [word for word in state.words if word in plate.alt.lower()], "alt names it"


@pytest.mark.parametrize("plate", plates.plates(), ids=lambda p: p.id)
def test_texts_are_sentences_and_the_caption_says_that_it_is_rendered(plate):
    assert plate.caption.endswith(plates.DISCLAIMER)
    for text in (plate.alt, plate.plain_alt, plate.why):
        assert text[0].isupper()
        assert text.endswith(".")
        assert 20 < len(text) < 400


@pytest.mark.parametrize("glaze", plates.glazes().values(), ids=list(plates.glazes()))
def test_the_shares_of_a_glaze_make_a_whole(glaze):
    assert sum(glaze.shares.values()) == pytest.approx(1)
    assert list(glaze.shares) == list(glaze.shades)


def test_colours_without_a_half_are_only_seen_gone_muddy():
    for plate in plates.plates():
        if max(plates.glazes()[plate.glaze].shares.values()) < 0.5:
            assert plate.state == "muddy"


def test_a_name_that_is_not_there_is_refused_with_a_next_step():
    with pytest.raises(FaultsError, match="is not the id of a plate"):
        plates.plate("none")


def test_the_command_renders_nothing_where_every_plate_is_there(capsys):
    from course.kit.plates.__main__ import main

    main([])
    assert not capsys.readouterr().out


@pytest.mark.skipif(
    not (find_spec("mitsuba") and find_spec("mitsuba_oidn")),
    reason="rendering needs the extra `plates`",
)
def test_a_small_plate_renders_and_a_dull_one_mirrors_less():
    """The brightest part of a glossy top is the mirrored lamp; roughness takes it away."""
    import numpy as np

    from course.kit.plates import shoot
    from course.kit.plates.cakes import Glaze, dome, dull, right
    from course.kit.plates.surface import Scene

    glaze = Glaze({"brown": 1.0}, {"brown": "#3b2016"}, 1)
    brightest = []
    for state, numbers in ((right, {}), (dull, {"roughness_um": 0.3, "texture_um": 1.4})):
        cake = dome()
        state(cake, glaze, coat_mm=1.8, **numbers)
        light = shoot.render(Scene().add(cake.mesh()), "dome", "lamp", 64, 48, 4, 1)
        assert light.shape == (48, 64, 3)
        assert np.isfinite(light).all()
        brightest.append(float(np.quantile(light[10:40, 16:48].mean(-1), 0.99)))
    assert brightest[1] < 0.8 * brightest[0]
