"""From a row of the index to what stands on the bench."""

from __future__ import annotations

from course.kit.plates import cakes, work
from course.kit.plates.surface import Scene
from exercises.craft import plates

_DRIP = 3.2  # cm between the foot and the tray


def glaze_of(plate: plates.Plate, more: int = 0) -> cakes.Glaze:
    """Return the glaze of a plate; `more` gives each dome a marble of its own."""
    g = plates.glazes()[plate.glaze]
    return cakes.Glaze(g.shares, g.shades, plate.seed + more, g.cake)


def scene_of(plate: plates.Plate) -> Scene:
    """Return the scene of a plate."""
    step = plates.states()[plate.state].step
    if step:
        return work.STEPS[step](glaze_of(plate), **plate.numbers)
    close = plate.view in ("close", "closetop", "dome")
    scene = Scene()
    lifted = plate.state == "drips"
    for more, cake in enumerate(cakes.cakes(plate.shape, close=close)):
        cakes.STATES[plate.state](cake, glaze_of(plate, more), **plate.numbers)
        scene.add(cake.mesh(floor=None if lifted else 0.004), *cake.extra)
        if lifted:
            scene.lift = _DRIP
            scene.add(cakes.stand(cake, _DRIP))
    return scene
