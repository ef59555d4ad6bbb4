"""Screen colours as CIELAB, daylight D65, 2° observer.

IEC 61966-2-1 (sRGB) with CIE 15; values by the library colour-science 0.4.7.
Columns: red, green, blue; lightness, a, b; tolerance 0.03 for each, which is what
the choice of the white point moves.
"""

import colour
import pytest

from calculators.colour import lab

TABLE = [
    ((255, 0, 0), (53.23, 80.11, 67.22)),
    ((0, 255, 0), (87.74, -86.18, 83.18)),
    ((0, 0, 255), (32.30, 79.20, -107.86)),
    ((128, 128, 128), (53.585, 0, 0)),
    ((245, 245, 220), (95.95, -4.19, 12.05)),
    ((123, 63, 0), (33.49, 22.29, 43.80)),
]


@pytest.mark.parametrize(("rgb", "tabled"), TABLE)
def test_a_screen_colour_has_the_printed_coordinates(rgb, tabled):
    assert lab(rgb) == pytest.approx(tabled, abs=0.03)
    assert lab("#{:02x}{:02x}{:02x}".format(*rgb)) == lab(rgb)


@pytest.mark.parametrize("red", range(0, 256, 51))
@pytest.mark.parametrize("green", range(0, 256, 51))
@pytest.mark.parametrize("blue", range(0, 256, 51))
def test_an_independent_library_agrees_over_the_whole_cube(red, green, blue):
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    theirs = colour.XYZ_to_Lab(colour.sRGB_to_XYZ([c / 255 for c in (red, green, blue)]), white)
    assert lab((red, green, blue)) == pytest.approx(tuple(theirs), abs=0.03)
