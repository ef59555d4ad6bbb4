"""One step of a glaze that cools, in plain numbers.

What a jug loses at one moment by air, radiation, bath and drying, and where it is some
seconds later.  ``jug`` asks here, and so does the clock of a whole day.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from calculators import water
from calculators.blending import GRAVITY
from calculators.cooling import AIR_HEAT, STEAM, STEFAN_BOLTZMANN, WATER_HEAT
from calculators.cooling.moisture import saturated_at
from calculators.cooling.surroundings import air_at, up_a_wall
from calculators.sources import table
from calculators.units import q, solve
from calculators.water import KELVIN

LONGEST = 864_000.0  # s, ten days
_LEWIS = table("jug")["lewis number of air and steam"].quantity.m ** (2 / 3)
_COOL_STEAM, _HOT_STEAM = (1000 * water.latent_heat(q(t, "degC")).m for t in (0, 100))
_AT_REST = 2 / math.pi  # a disc that conducts into air at rest, by area over rim
_DEGREE, _AT_REST_BY = 1.0, 0.01  # °C in one step, and so near that a step may be long


class State(NamedTuple):
    """Where a vessel stands at one moment, in plain numbers.

    Parameters
    ----------
    celsius : float
        Of glaze and wall.
    water : float
        Water in the glaze, kg.
    bath : float
        Of the water around it, °C; the room's where there is none.
    seconds : float
        On the clock.
    """

    celsius: float
    water: float
    bath: float = math.nan
    seconds: float = 0.0


class Losses(NamedTuple):
    """What leaves the glaze at one moment.

    Parameters
    ----------
    side, floor, top : float
        Heat by air, radiation or bath, W.
    drying : float
        Heat by evaporation, W.
    vapour : float
        Water, kg/s.
    """

    side: float
    floor: float
    top: float
    drying: float
    vapour: float

    @property
    def heat(self) -> float:
        """All the heat that leaves, W."""
        return self.side + self.floor + self.top + self.drying


@dataclass(frozen=True, slots=True)
class Setting:
    """A vessel in a place, in plain SI numbers.

    Parameters
    ----------
    floor, side : float
        Areas, m².
    depth, across : float
        m: height of the wet wall, and floor by rim.
    raised : bool
        Whether the floor gives heat to the air or the bath.
    capacity : float
        Of glaze and wet wall at first, J/K.
    wet : float
        Water in the glaze at first, kg.
    bound : float
        Water that the sugars bind as it were, kg: it fixes the water activity.
    wall : float
        What the wall holds back, m²K/W.
    shine, top_shine : float
        Emissivity of wall and top.
    drying, pace : float
        Factors on vapour, and on everything.
    room, vapour, pascal : float
        °C, Pa of steam and Pa of air.
    moved : float or None
        W/m²/K of moved air; None is still air.
    bathed : float or None
        W/m²/K from glaze to bath; None without one.
    bath_capacity : float
        J/K; infinite where the bath is held.
    """

    floor: float
    side: float
    depth: float
    across: float
    raised: bool
    capacity: float
    wet: float
    bound: float
    wall: float
    shine: float
    top_shine: float
    drying: float
    pace: float
    room: float
    vapour: float
    pascal: float
    moved: float | None = None
    bathed: float | None = None
    bath_capacity: float = math.inf

    def losses(self, state: State) -> Losses:
        """Return what leaves at this moment."""
        t, room = state.celsius, self.room
        film = (t + room) / 2 + KELVIN
        density, viscosity, conductivity = air_at(film, self.pascal / 1000)
        prandtl = viscosity * AIR_HEAT / conductivity
        pull = GRAVITY * abs(t - room) / film * (density / viscosity) ** 2  # 1/m³
        across = conductivity / self.across
        rayleigh = pull * prandtl * self.across**3
        warm = t >= room
        top = self.moved or across * max(over_a_plate(rayleigh, facing=warm), _AT_REST)
        radiant = _radiant(t + KELVIN, room + KELVIN)
        if self.bathed is not None:
            through = 1 / (1 / self.bathed + self.wall)
            side = through * self.side * (t - state.bath)
            floor = through * self.floor * (t - state.bath)
        else:
            upright = self.moved or conductivity / self.depth * up_a_wall(
                pull * prandtl * self.depth**3, prandtl
            )
            side = _in_series(upright + self.shine * radiant, self.wall) * self.side * (t - room)
            floor = 0.0
            if self.raised:
                under = self.moved or across * over_a_plate(rayleigh, facing=not warm)
                hold = _in_series(under + self.shine * radiant, self.wall)
                floor = hold * self.floor * (t - room)
        above = (top + self.top_shine * radiant) * self.floor * (t - room)
        gone = 0.0
        if self.drying:
            activity = state.water / (state.water + self.bound) if state.water > 0 else 0.0
            here = activity * saturated_at(t)
            dense = (here / (t + KELVIN) - self.vapour / (room + KELVIN)) / STEAM
            carried = _carried(here, self.vapour, self.pascal)
            speed = top / (density * AIR_HEAT * _LEWIS)
            gone = self.drying * speed * self.floor * dense * carried
        p = self.pace
        return Losses(p * side, p * floor, p * above, p * gone * _steam(t), p * gone)

    def rates(self, state: State) -> tuple[float, float, float]:
        """Return K/s of the glaze, kg/s of its water and K/s of the bath."""
        loss = self.losses(state)
        holds = self.capacity - 1000 * WATER_HEAT.m * (self.wet - state.water)
        warmed = (loss.side + loss.floor) / self.bath_capacity if self.bathed is not None else 0.0
        return -loss.heat / holds, -loss.vapour, warmed


def step(state: State, setting: Setting, seconds: float) -> State:
    """Return the state some seconds on, by one midpoint step that can't overshoot.

    The way back to rest is taken as an exponential, so a drop of glaze may take as long
    a step as a vat.
    """
    fall, _, warmed, lean = _slopes(state, setting)
    half = seconds / 2
    middle = State(
        state.celsius + _grown(fall, lean, half), state.water, state.bath + half * warmed
    )
    at_middle, gone, warmed = setting.rates(middle)
    thirst = 0.0
    if abs(gone) * seconds > 0.01 * state.water:
        more = 1e-3 * setting.wet
        wetter = setting.rates(middle._replace(water=state.water + more))[1]
        thirst = min((wetter - gone) / more, 0.0)
    other = at_middle - lean * (middle.celsius - state.celsius)
    return State(
        state.celsius + _grown(other, lean, seconds),
        max(0.0, state.water + _grown(gone, thirst, seconds)),
        state.bath + seconds * warmed,
        state.seconds + seconds,
    )


def after(state: State, setting: Setting, seconds: float) -> State:
    """Return the state some seconds on, in as many steps as that needs."""
    end = state.seconds + seconds
    while end - state.seconds > 1e-9:
        state = step(state, setting, min(_stride(state, setting), end - state.seconds))
    return state


def until(target: float, state: State, setting: Setting) -> tuple[State, bool]:
    """Return the state in which a temperature is met, or that after ten days, and which."""
    if state.celsius == target:
        return state, True
    way = math.copysign(1, target - state.celsius)
    while state.seconds < LONGEST:
        stride = _stride(state, setting)
        then = step(state, setting, stride)
        if way * (then.celsius - target) >= 0:
            past = partial(_past, target, way, state, setting)
            return step(state, setting, solve(past, 0, stride)), True
        state = then
    return state, False


def _past(target: float, way: float, state: State, setting: Setting, seconds: float) -> float:
    return way * (step(state, setting, seconds).celsius - target)


def over_a_plate(rayleigh: float, *, facing: bool) -> float:
    """Return the Nusselt number of still air on a level plate, [mcadams1954].

    By area over rim.  A warm plate that faces up lets its air go, as a cold one
    facing down does; the other way round the air stays.
    """
    if not facing:
        return 0.27 * rayleigh**0.25
    return 0.54 * rayleigh**0.25 if rayleigh < 1e7 else 0.15 * rayleigh ** (1 / 3)


# --- helpers ----------------------------------------------------------------------------


def _radiant(hot: float, cool: float) -> float:
    return STEFAN_BOLTZMANN * (hot + cool) * (hot * hot + cool * cool)


def _in_series(outside: float, wall: float) -> float:
    return outside / (1 + outside * wall)


def _steam(t: float) -> float:
    """Heat of evaporation, J/kg; straight between 0 and 100 °C, within 0.3 %."""
    return _COOL_STEAM + (_HOT_STEAM - _COOL_STEAM) * t / 100


def _carried(here: float, there: float, whole: float) -> float:
    """How much faster vapour leaves because it carries itself away (Stefan flow)."""
    wetter = here - there
    if abs(wetter) < 1e-6 * whole:
        return whole / (whole - there)
    return whole / wetter * math.log((whole - there) / (whole - here))


def _slopes(state: State, setting: Setting) -> tuple[float, float, float, float]:
    """Return the rates of glaze, water and bath, and how the first eases with warmth."""
    fall, gone, warmed = setting.rates(state)
    warmer = setting.rates(state._replace(celsius=state.celsius + 0.1))[0]
    return fall, gone, warmed, min((warmer - fall) / 0.1, 0.0)


def _grown(rate: float, lean: float, seconds: float) -> float:
    """Return what a rate makes in a time in which it changes as ``exp(lean * time)``."""
    power = lean * seconds
    return rate * seconds * (1.0 if abs(power) < 1e-9 else math.expm1(power) / power)


def _stride(state: State, setting: Setting) -> float:
    """Return a step in which it cools by a degree at most and dries by a tenth."""
    fall, gone, _, lean = _slopes(state, setting)
    wait, pace = LONGEST, abs(fall)
    if pace > -lean * _AT_REST_BY:
        wait = min(_DEGREE / pace, 1 / max(-lean, 1e-9))
    if gone:
        wait = min(wait, 0.1 * max(state.water, 1e-3 * setting.wet) / abs(gone))
    if setting.bathed is not None and math.isfinite(setting.bath_capacity) and lean:
        wait = min(wait, 0.3 / -lean / (1 + setting.capacity / setting.bath_capacity))
    return wait
