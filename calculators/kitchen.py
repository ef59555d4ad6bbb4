"""The kitchen a lesson is computed for: the scheme's values, as quantities.

A lesson begins with a cell that builds one of these from text, so that a reader
can change a value and run the lesson again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from calculators.frozen import frozen
from calculators.units import Quantity, q, read

_LIKE = {
    "altitude": "m",
    "room": "degC",
    "humidity": "percent",
    "freezer": "degC",
    "hob": "W",
    "blender": "W",
    "jug": "cm",
    "blade": "cm",
    "scale": "g",
    "gelatin_bloom": "bloom",
    "gelatin_wanted_bloom": "bloom",
    "window_low": "degC",
    "window_high": "degC",
    "storage": "degC",
    "display": "degC",
    "coat": "g/cm**2",
    "run_off": "percent",
    "spare": "percent",
    "cooled_to": "degC",
}


@frozen
class Line:
    """One line of a glaze formula: what, how much, its price and pack if known."""

    ingredient: str
    mass: Quantity
    price: Quantity | None = None
    pack: Quantity | None = None


@frozen
class Cake:
    """A shape to be glazed, its sizes by name, and how many."""

    shape: str
    sizes: dict[str, Quantity]
    count: int


@frozen
class Jug:
    """One colour of a marbled glaze: its name, its share, and what colours it."""

    name: str
    share: Quantity
    colourant: str = ""


@frozen
class Kitchen:
    """The kitchen of a scheme of work.

    Parameters
    ----------
    altitude, room, humidity, freezer, hob, blender, jug, blade, scale : quantity
        Height above the sea, room and freezer temperature, relative humidity, power
        of hob and stick blender, width of the jug, height of the blade guard, the
        step of the scale.
    gelatin_grade, gelatin_bloom : str, quantity
        What is in stores.
    gelatin_wanted : str
        The grade that the glaze formula names.
    gelatin_wanted_bloom : quantity, optional
        Its bloom, where the scheme says it.
    glucose : str
        The kind of glucose syrup in stores.
    window_low, window_high : quantity
        The pouring window of this formula.
    storage, display : quantity
        Temperatures of fridge and display.
    region : str
        Whose law holds.
    formula_name : str
        What the glaze is called.
    formula : sequence of Line
        The glaze.
    cakes : sequence of Cake
        What is glazed.
    jugs : sequence of Jug
        The colours of the marble, with their shares.
    coat, run_off : quantity, optional
        What stays on a cake by area, and the share of the poured that runs off.
    local_rules, local_contact : str
        The school's own rules and whom to ask.
    spare : quantity, optional
        The share of glaze that is made beyond what is poured.
    cooled_to : quantity, optional
        Where a bath has cooled the glaze on its first day.
    own : sequence of dict
        Labels of ingredients that the table lacks, as ``labels.label_of`` takes them.
    own_glucose : str, optional
        One of them that is bought in place of the formula's glucose syrup.
    """

    altitude: Quantity
    room: Quantity
    humidity: Quantity
    freezer: Quantity
    hob: Quantity
    blender: Quantity
    jug: Quantity
    blade: Quantity
    scale: Quantity
    gelatin_grade: str
    gelatin_bloom: Quantity
    gelatin_wanted: str
    glucose: str
    window_low: Quantity
    window_high: Quantity
    storage: Quantity
    display: Quantity
    region: str
    formula_name: str
    formula: Sequence[Line]
    cakes: Sequence[Cake]
    jugs: Sequence[Jug] = ()
    coat: Quantity | None = None
    run_off: Quantity | None = None
    local_rules: str = ""
    local_contact: str = ""
    gelatin_wanted_bloom: Quantity | None = None
    spare: Quantity | None = None
    cooled_to: Quantity | None = None
    own: Sequence[dict[str, str]] = ()
    own_glucose: str | None = None

    @property
    def fridge(self) -> Quantity:
        """The fridge as syrup and glaze see it: at 0 °C or above, where water is liquid."""
        return max(self.storage, q(0, "degC"))

    @property
    def air(self) -> Quantity:
        """The air that a jug cools in: the room, or cooler air below the window."""
        return min(self.room, self.window_low - q(2, "delta_degC"))

    def __repr__(self) -> str:
        return f"Kitchen at {self.altitude.magnitude:g} m, {self.region}"


def kitchen_of(**given: Any) -> Kitchen:
    """Return a kitchen from values as a person writes them.

    Quantities are text such as ``"35 m"``; ``formula`` is a list of
    ``(ingredient, mass, price, pack)`` with empty text where price or pack is not
    known; ``cakes`` a list of ``(shape, {size: text}, count)``; ``jugs`` a list of
    ``(name, share, colourant)``; ``own`` the labels of ingredients of one's own.
    """
    values = dict(given)
    if values.get("own"):
        shelve_labels(values["own"])
    for name, like in _LIKE.items():
        if name in values:
            values[name] = read(values[name], like, name)
    values["formula"] = tuple(
        Line(
            ingredient,
            read(mass, "g", ingredient),
            read(price, None, f"{ingredient}, price") if price else None,
            read(pack, None, f"{ingredient}, pack") if pack else None,
        )
        for ingredient, mass, price, pack in values.get("formula", ())
    )
    values["cakes"] = tuple(
        Cake(
            shape,
            {
                n: read(t, "cm**2" if n == "area" else "cm", f"{shape}, {n}")
                for n, t in sizes.items()
            },
            count,
        )
        for shape, sizes, count in values.get("cakes", ())
    )
    values["jugs"] = tuple(
        Jug(name, read(share, "percent", f"{name}, share"), colourant)
        for name, share, colourant in values.get("jugs", ())
    )
    known = {f.name for f in fields(Kitchen)}
    return Kitchen(**{name: value for name, value in values.items() if name in known})


def shelve_labels(own: Sequence[dict[str, str]]) -> None:
    """Put the ingredients of these labels on the shelf, so that a formula finds them."""
    from calculators.ingredients import shelve  # most kitchens have none, and load faster
    from calculators.labels import label_of

    shelve(label_of(one).as_ingredient() for one in own)


def example_kitchen() -> Kitchen:
    """Return an invented kitchen, for the examples of the calculators."""
    return kitchen_of(
        altitude="35 m",
        room="21 °C",
        humidity="55 %",
        freezer="-18 °C",
        hob="2 kW",
        blender="600 W",
        jug="12 cm",
        blade="4 cm",
        scale="1 g",
        gelatin_grade="gold",
        gelatin_bloom="200 bloom",
        gelatin_wanted="gold",
        glucose="confectioner",
        window_low="31 °C",
        window_high="34 °C",
        storage="4 °C",
        display="4 °C",
        region="EU",
        formula_name="Syrup glaze",
        formula=[("water", "300 g", "", ""), ("sugar", "500 g", "1.2 EUR", "1 kg")],
    )
