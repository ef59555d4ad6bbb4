"""Cooling: properties, limits and wording."""

from dataclasses import dataclass
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calculators import cooling as c
from calculators.faults import FaultsError
from calculators.sources import table
from calculators.units import q, unit

few = settings(max_examples=50, deadline=None)
minutes = st.floats(1, 600)
C = "degC"


def deg(value):
    return q(value, C)


# --- cooling curves


@few
@given(minutes, st.floats(45, 100), st.floats(0, 28), st.floats(10, 300))
def test_the_time_to_a_temperature_is_when_it_is_reached(time, start, room, pace):
    steady = (deg(start), deg(room), q(pace, "min"))
    then = c.temperature_after(q(time, "min"), *steady)
    assume(then.m - room > 1e-3)
    assert c.time_to(then, *steady).m_as("min") == pytest.approx(time, rel=1e-6)


@few
@given(st.floats(10, 300), st.floats(0, 28), st.lists(minutes, min_size=2, unique=True))
def test_the_time_constant_comes_back_from_its_own_curve(pace, room, times):
    curve = (deg(85), deg(room), q(pace, "min"))
    times = sorted(t for t in times if t < 4 * pace)
    assume(len(times) > 1 and times[-1] - times[0] > 1)
    assume(min(b - a for a, b in pairwise(times)) > 1e-3)
    log = [(q(t, "min"), c.temperature_after(q(t, "min"), *curve)) for t in times]
    assert c.rate_from_readings(log, deg(room)).m_as("min") == pytest.approx(pace)


def test_one_poor_reading_near_the_room_hardly_counts():
    log = [(q(0, "min"), deg(80)), (q(60, "min"), deg(56.39)), (q(480, "min"), deg(22))]
    found = c.rate_from_readings(log, deg(20))
    assert found.m_as("min") == pytest.approx(120, rel=0.05)


def test_a_glaze_warms_by_the_same_law():
    warm = (deg(5), deg(40), q(30, "min"))
    time = c.time_to(deg(31), *warm)
    assert time.m > 0
    assert c.temperature_after(time, *warm).m_as(C) == pytest.approx(31)


def test_no_time_is_needed_to_where_it_is():
    assert c.time_to(deg(40), deg(40), deg(20), q(60, "min")).m == 0


@pytest.mark.parametrize("target", [15, 20, 85])
def test_a_target_that_is_never_reached_is_refused(target):
    with pytest.raises(FaultsError, match="is never reached"):
        c.time_to(deg(target), deg(80), deg(20), q(60, "min"))


def test_a_value_just_beyond_a_limit_is_not_told_as_the_limit():
    with pytest.raises(FaultsError, match=r"given: 34\.001\s°C to 34\s°C"):
        c.window(deg(33), deg(34.001), deg(34))
    with pytest.raises(FaultsError, match=r"given: 20\.001\s°C.*and 20\.002\s°C"):
        c.time_to(deg(20.001), deg(80), deg(20.002), q(1, "min"))
    with pytest.raises(FaultsError, match=r"given: 33\s°C.*settle at 33\.001\s°C"):
        c.water_bath(q(1, "kg"), deg(80), deg(33), deg(33.001), q(400, "cm**2"))


def test_readings_on_both_sides_of_the_room_are_refused():
    log = [(q(0, "min"), deg(30)), (q(9, "min"), deg(19))]
    with pytest.raises(FaultsError, match="both sides of the room"):
        c.rate_from_readings(log, deg(20))


def test_readings_that_leave_the_room_are_refused():
    log = [(q(0, "min"), deg(30)), (q(9, "min"), deg(40))]
    with pytest.raises(FaultsError, match="do not approach the room"):
        c.rate_from_readings(log, deg(20))


def test_every_bad_cell_of_a_log_is_told_at_once():
    log = [(q(0, "min"), q(3, "g")), (5, deg(40)), "tea"]
    with pytest.raises(FaultsError) as error:
        c.rate_from_readings(log, deg(20))
    places = [fault.where for fault in error.value.faults]
    assert places == [
        "rate_from_readings, reading 1, temperature",
        "rate_from_readings, reading 2, time",
        "rate_from_readings, reading 3",
    ]


def test_a_log_out_of_order_is_refused():
    for second in (9, 9 + 1e-12, 8):
        log = [(q(9, "min"), deg(80)), (q(second, "min"), deg(70))]
        with pytest.raises(FaultsError, match="not later than the row before"):
            c.rate_from_readings(log, deg(20))
    tiny = [(q(0, "min"), deg(80)), (q(1e-170, "min"), deg(70))]
    with pytest.raises(FaultsError, match="not later than the row before"):
        c.rate_from_readings(tiny, deg(20))


def test_a_single_reading_is_not_enough():
    with pytest.raises(FaultsError, match="At least 2 must be given"):
        c.rate_from_readings([(q(9, "min"), deg(80))], deg(20))


def test_a_time_constant_that_is_given_is_one_that_is_taken():
    flask = [(q(0, "h"), deg(80)), (q(10, "h"), deg(79.99))]
    with pytest.raises(FaultsError, match="do not approach the room"):
        c.rate_from_readings(flask, deg(20))
    slow = [(q(0, "h"), deg(80)), (q(10, "h"), deg(77))]
    pace = c.rate_from_readings(slow, deg(20))
    assert c.time_to(deg(77), deg(80), deg(20), pace).m_as("h") == pytest.approx(10)


# --- mixing


part = st.tuples(st.floats(0.01, 5), st.floats(1, 4), st.floats(-20, 120))


# --- heat transfer


def test_thin_air_cools_less():
    warm = (deg(60), deg(20), q(10, "cm"))
    sea, hill = (c.natural_convection(*warm, q(p, "kPa")) for p in (101.3, 77))
    assert 0.8 < (hill / sea).m_as("") < 0.95


@pytest.mark.parametrize("place", ["still air", "fan freezer", "stirred water bath"])
def test_a_place_cools_within_a_band(place):
    band = c.coefficient(place)
    assert band.low < band.typical < band.high
    assert band.provenance == "from memory"


# --- three jugs


def test_a_half_and_two_quarters_cool_at_their_own_speeds():
    half, one, other = c.jugs(q(1.2, "kg"), (0.5, 0.25, 0.25), q(10, "cm"))
    assert half.time_constant > one.time_constant
    assert one.time_constant.m == pytest.approx(other.time_constant.m)
    assert (half.mass + one.mass + other.mass).m_as("g") == pytest.approx(1200)
    # 600 g at 1250 kg/m³ in a jug of 10 cm: 480 ml, 6.112 cm deep.
    assert half.depth.m_as("cm") == pytest.approx(6.112, abs=0.001)
    assert half.area.m_as("cm**2") == pytest.approx(78.54 + 192.0, abs=0.1)


@few
@given(st.lists(st.floats(0.1, 10), min_size=1, max_size=6))
def test_the_shares_sum_to_the_whole(parts):
    found = c.jugs(q(1, "kg"), parts, q(12, "cm"))
    assert sum(j.mass.m_as("g") for j in found) == pytest.approx(1000)
    assert sum(j.share.m_as("percent") for j in found) == pytest.approx(100)


def test_parts_and_percents_say_the_same():
    by_parts = c.jugs(q(1, "kg"), (2, 1, 1), q(12, "cm"))
    by_percent = c.jugs(q(1, "kg"), [q(p, "percent") for p in (50, 25, 25)], q(12, "cm"))
    for one, two in zip(by_parts, by_percent, strict=True):
        assert one.mass.m_as("g") == pytest.approx(two.mass.m_as("g"))


# --- the bath


def _stepped(mass, start, bath, area, coefficient, water, minutes, heat=2.9):
    """Glaze and water stepped a twentieth of a second at a time."""
    glaze, pool, step = start, bath, 0.05
    for _ in range(int(minutes * 60 / step)):
        flow = coefficient * area / 1e4 * (glaze - pool) / 1000 * step
        glaze -= flow / (mass * heat)
        pool += flow / (water * 4.18)
    return glaze, pool


def test_the_bath_agrees_with_stepping_through_time():
    found = c.water_bath(
        q(1, "kg"),
        deg(80),
        deg(33),
        deg(15),
        q(400, "cm**2"),
        q(150, "W/m**2/K"),
        q(5, "kg"),
    )
    glaze, pool = _stepped(1, 80, 15, 400, 150, 5, found.time.m_as("min"))
    assert glaze == pytest.approx(33, abs=0.05)
    assert pool == pytest.approx(found.bath_end.m_as(C), abs=0.05)


@few
@given(st.floats(0.2, 3), st.floats(50, 90), st.floats(2, 20), st.floats(6, 50))
def test_the_bath_gains_what_the_glaze_loses(mass, start, bath, pool):
    found = c.water_bath(
        q(mass, "kg"),
        deg(start),
        deg(45),
        deg(bath),
        q(400, "cm**2"),
        bath_mass=q(pool, "kg"),
    )
    lost = mass * 2.9 * (start - 45)
    gained = pool * 4.18 * (found.bath_end.m_as(C) - bath)
    assert gained == pytest.approx(lost)
    assert bath < found.settles.m_as(C) < 45


def test_a_held_bath_keeps_its_temperature_and_is_quicker():
    jug = (q(1, "kg"), deg(80), deg(33), deg(15), q(400, "cm**2"))
    held = c.water_bath(*jug)
    small = c.water_bath(*jug, bath_mass=q(3, "kg"))
    assert held.bath_end.m_as(C) == 15
    assert held.time < small.time
    room = c.time_to(
        deg(33),
        deg(80),
        deg(20),
        c.time_constant(q(1, "kg"), q(2.9, "kJ/kg/K"), jug[4], q(10, "W/m**2/K")),
    )
    assert held.time < room / 5


def test_a_bath_warms_a_cold_glaze_too():
    found = c.water_bath(q(1, "kg"), deg(5), deg(31), deg(40), q(400, "cm**2"))
    assert found.time.m > 0


def test_too_small_a_bath_says_how_much_water_it_takes():
    with pytest.raises(FaultsError, match=r"Take more than 1\.81 kg of water"):
        # 2.9 * 47 = 136.3 kJ into 18 °C of rise at 4.18: 1.81 kg.
        c.water_bath(q(1, "kg"), deg(80), deg(33), deg(15), q(400, "cm**2"), bath_mass=q(1, "kg"))


def test_a_bath_warmer_than_the_target_is_refused():
    with pytest.raises(FaultsError, match="between the glaze and the bath"):
        c.water_bath(q(1, "kg"), deg(80), deg(33), deg(40), q(400, "cm**2"))


# --- glaze on cake


def test_like_meets_like_half_way():
    same = q(1000, "J/m**2/K/s**0.5")
    band = c.contact_temperature(deg(33), deg(-18), same, same)
    assert band.typical.m_as(C) == pytest.approx(7.5)
    assert band.low == band.high


def test_contact_lies_between_and_below_the_setting_of_gelatin():
    band = c.contact_temperature(deg(33), deg(-18))
    assert deg(-18) < band.low < band.typical < band.high < deg(25)


# --- dew and frost


@few
@given(st.floats(-20, 50), st.floats(5, 100))
def test_the_dew_point_is_never_above_the_air(air, humidity):
    assert c.dew_point(deg(air), q(humidity, "percent")).m <= air + 1e-9


def test_saturated_air_is_at_its_dew_point():
    assert c.dew_point(deg(12), q(100, "percent")).m_as(C) == pytest.approx(12)


@few
@given(st.floats(5, 35), st.floats(20, 95), st.floats(0.5, 30))
def test_dew_gathers_below_the_dew_point_and_not_above(air, humidity, surface):
    humid = q(humidity, "percent")
    point = c.dew_point(deg(air), humid).m_as(C)
    assume(abs(surface - point) > 0.01)
    rate = c.frost(deg(air), humid, deg(surface)).typical.m
    assert (rate > 0) == (surface < point)


@pytest.mark.parametrize(
    ("surface", "verdict"), [(-18, "wet"), (4, "wet"), (14, "in doubt"), (20, "dry")]
)
def test_the_verdict_in_a_room_of_22_degrees_and_60_percent(surface, verdict):
    # Dew point 13.89 °C.
    dew = c.thaws_wet(deg(surface), deg(22), q(60, "percent"))
    assert dew.verdict == verdict
    assert dew.margin.m_as("delta_degC") == pytest.approx(surface - 13.89, abs=0.05)


# --- window and clock


@pytest.mark.parametrize(
    ("temperature", "verdict", "off"),
    [(29, "below", 2), (31, "in", 0), (32.5, "in", 0), (34, "in", 0), (40, "above", 6)],
)
def test_the_window_has_its_ends_in_it(temperature, verdict, off):
    found = c.window(deg(temperature))
    assert found.verdict == verdict
    assert found.off.m_as("delta_degC") == pytest.approx(off)
    assert verdict in str(found).lower()


def test_the_window_is_that_of_the_formula():
    assert c.window(deg(28), deg(26), deg(29)).verdict == "in"
    with pytest.raises(FaultsError, match=r"upside down .*Swap them"):
        c.window(deg(28), deg(34), deg(31))
    with pytest.raises(FaultsError, match=r"upside down .*Set them apart"):
        c.window(deg(28), deg(34), deg(34))


@dataclass(frozen=True)
class Ends:
    low: object
    high: object


@dataclass(frozen=True)
class SchemeOfWork:
    window: object


def test_a_scheme_brings_the_window_of_its_formula():
    scheme = SchemeOfWork(Ends(deg(26), q(84.2, "degF")))  # 29 °C
    assert c.window(deg(28), scheme).verdict == "in"
    assert c.window(deg(29), scheme).verdict == "in"
    assert c.window(deg(33), scheme).off.m == pytest.approx(4)
    with pytest.raises(FaultsError, match=r"beside the window of a scheme .*29 °C"):
        c.window(deg(28), scheme, deg(30))
    with pytest.raises(FaultsError, match="upside down"):
        c.window(deg(28), SchemeOfWork(Ends(deg(34), deg(31))))
    with pytest.raises(FaultsError, match="window high: is a bare number"):
        c.window(deg(28), SchemeOfWork(Ends(deg(31), 34)))
    with pytest.raises(FaultsError, match="window, low: is not a quantity"):
        c.window(deg(28), SchemeOfWork(None))


def test_the_window_is_common_practice_in_the_table():
    for name, value in (("window low", 31), ("window high", 34)):
        row = table("cooling")[name]
        assert (row.value, row.provenance) == (value, "common practice")


temperatures = st.lists(st.floats(-20, 95), min_size=2, max_size=8)


@few
@given(temperatures)
def test_the_time_out_of_temperature_is_that_of_a_fine_clock(values):
    log = [(q(10 * i, "min"), deg(t)) for i, t in enumerate(values)]
    found = c.time_out_of_temperature(log, deg(5), deg(63)).m_as("min")
    count, steps = 0, 2000
    for a, b in pairwise(values):
        run = (a + (b - a) * (k + 0.5) / steps for k in range(steps))
        count += sum(5 < t < 63 for t in run)
    assert found == pytest.approx(10 * count / steps, abs=0.05 * len(values))


def test_the_clock_stands_while_chilled_or_held_hot():
    log = [(q(0, "h"), deg(3)), (q(8, "h"), deg(4)), (q(9, "h"), deg(4))]
    assert c.time_out_of_temperature(log, deg(5), deg(63)).m == 0
    hot = [(q(0, "h"), deg(70)), (q(3, "h"), deg(65))]
    assert c.time_out_of_temperature(hot, deg(5), deg(63)).m == 0


def test_a_whole_day_on_the_bench_counts_whole():
    log = [(q(0, "h"), deg(21)), (q(24, "h"), deg(21))]
    found = c.time_out_of_temperature(log, deg(5), deg(63))
    assert found.units == unit("min")
    assert found.m_as("h") == pytest.approx(24)


# --- the house's rules


def test_another_unit_gives_the_same_answer():
    ours = c.time_constant(q(1000, "g"), q(2900, "J/kg/K"), q(0.04, "m**2"), q(10, "W/m**2/K"))
    same = c.time_constant(q(1, "kg"), q(2.9, "kJ/kg/K"), q(400, "cm**2"), q(10, "W/m**2/K"))
    assert ours.m == pytest.approx(same.m)
    warm = c.dew_point(q(72, "degF"), q(0.6))
    assert warm.m_as(C) == pytest.approx(
        c.dew_point(deg((72 - 32) / 1.8), q(60, "percent")).m_as(C)
    )


def test_all_bad_arguments_are_told_at_once():
    with pytest.raises(FaultsError) as error:
        c.time_constant(1, q(2.9, "kg"), q(400, "cm"), q(0, "W/m**2/K"))
    assert len(error.value.faults) == 4
