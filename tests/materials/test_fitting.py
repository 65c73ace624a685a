"""Fits to readings: against other libraries' regression, published tables and simulated readings; refusals."""

import math

import numpy as np
import pint
import pytest
from scipy import stats
from scipy.optimize import brentq

from millcalc.errors import ArgumentError
from millcalc.materials import fit_kienzle, fit_taylor, material
from millcalc.materials.straight_line import line_through, student_t
from millcalc.quantities.record import number

RANDOM = np.random.default_rng(5)


def texts(values, unit):
    return [f"{value!r} {unit}" for value in map(float, values)]


def kienzle(chips, forces):
    return fit_kienzle(chip_thickness=texts(chips, "mm"), specific_cutting_force=texts(forces, "N/mm^2"))


def taylor(speeds, lives):
    return fit_taylor(cutting_speed=texts(speeds, "m/min"), tool_life=texts(lives, "min"))


def numbers(fit, *names):
    return [number(fit, name) for name in names]


@pytest.mark.parametrize("degrees", [*range(1, 31), 31, 40, 60, 120, 1000, 100_000])
def test_students_t_is_that_of_another_library(degrees):
    assert student_t(degrees) == pytest.approx(stats.t.ppf(0.975, degrees), abs=6e-4)


def scattered(count, scatter):
    x = np.log(RANDOM.uniform(0.02, 0.5, count))
    return x, math.log(1800) - 0.22 * x + RANDOM.normal(0, scatter, count)


@pytest.mark.parametrize("count", [3, 4, 7, 20, 60])
def test_the_line_is_that_of_another_library(count):
    x, y = scattered(count, 0.03)
    line, other = line_through(x, y), stats.linregress(x, y)
    assert (line.slope, line.start) == pytest.approx((other.slope, other.intercept), rel=1e-10)
    assert line.slope_error == pytest.approx(other.stderr, rel=1e-9)
    assert line.error_at(0.0) == pytest.approx(other.intercept_stderr, rel=1e-9)
    off = stats.t.ppf(0.975, count - 2) * other.stderr
    assert line.slope_range() == pytest.approx((other.slope - off, other.slope + off), rel=1e-3)


def test_where_the_line_may_reach_zero_is_where_zero_lies_in_its_range():
    """Fieller's ends are the roots of |height| = t error, found by bisection."""
    for _ in range(20):
        x = np.log(RANDOM.uniform(80, 300, 6))
        line = line_through(x, 22 - 4 * x + RANDOM.normal(0, 0.1, 6))
        zero = -line.start / line.slope

        def beyond(v, line=line):
            return abs(line.at(v)) - line.t * line.error_at(v)

        ends = [brentq(beyond, zero, zero + way * 2.0) for way in (-1, 1)]
        assert line.zero_range() == pytest.approx(ends, rel=1e-9)


# kc [N/mm^2] at h 0.1 and 0.63 mm and kc1.1, mc: the textbook table of reference/kienzle_table.toml (read)
PRINTED = [(2630, 1930, 1780, 0.17), (3120, 2280, 2110, 0.17), (1180, 850, 780, 0.18)]


@pytest.mark.parametrize(("thin", "thick", "kc11", "mc"), PRINTED)
def test_the_printed_forces_give_the_printed_constants(thin, thick, kc11, mc):
    """Three printed points; kc is printed to 10 N/mm^2, mc to 0.01."""
    made = kienzle([0.1, 0.63, 1.0], [thin, thick, kc11])
    assert number(made, "kc11") == pytest.approx(kc11, abs=5)
    assert number(made, "mc") == pytest.approx(mc, abs=0.005)
    assert number(made, "mc_low") < mc < number(made, "mc_high")
    assert max(map(abs, made.residuals)) < 0.005
    assert numbers(made, "chip_low", "chip_high") == [0.1, 1.0]


def test_scattered_forces_give_what_other_libraries_give():
    for count in (3, 5, 12, 50):
        x, y = scattered(count, 0.01)
        made, other, t = kienzle(np.exp(x), np.exp(y)), stats.linregress(x, y), stats.t.ppf(0.975, count - 2)
        assert number(made, "mc") == pytest.approx(-other.slope)
        assert number(made, "kc11") == pytest.approx(math.exp(other.intercept))
        assert numbers(made, "mc_low", "mc_high") == pytest.approx(
            [-other.slope - t * other.stderr, -other.slope + t * other.stderr], rel=1e-3
        )
        ends = [math.exp(other.intercept + way * t * other.intercept_stderr) for way in (-1, 1)]
        assert numbers(made, "kc11_low", "kc11_high") == pytest.approx(ends, rel=1e-3)
        assert number(made, "mc_error") == pytest.approx(other.stderr)
        assert number(made, "kc11_error") == pytest.approx(math.exp(other.intercept) * other.intercept_stderr)
        np.testing.assert_allclose(made.residuals, np.exp(y - other.intercept - other.slope * x) - 1, atol=1e-9)


def test_the_ranges_hold_the_truth_as_often_as_they_say():
    """95 in 100 of 400 sets of six readings of known constants; the share is good to 3 points."""
    x = np.log(np.array([0.03, 0.05, 0.08, 0.12, 0.2, 0.3]))
    kept = np.zeros(2)
    for _ in range(400):
        y = math.log(1800) - 0.22 * x + RANDOM.normal(0, 0.02, 6)
        made = kienzle(np.exp(x), np.exp(y))
        kept += [
            number(made, "mc_low") < 0.22 < number(made, "mc_high"),
            number(made, "kc11_low") < 1800 < number(made, "kc11_high"),
        ]
    assert np.all(np.abs(kept / 400 - 0.95) < 0.035), kept


# reference/tool_life_homework_2011.toml (read): 30 min at 300, 15 min at 400 m/min, p = 1/n printed 2.41
def test_tests_that_agree_with_a_published_pair_give_its_exponent():
    middle = math.sqrt(300 * 400), math.sqrt(30 * 15)  # on logarithmic paper it lies on the line of the two
    made = taylor([300, middle[0], 400], [30, middle[1], 15])
    assert 1 / number(made, "taylor_exponent") == pytest.approx(2.41, abs=0.005)
    assert number(made, "taylor_constant") == pytest.approx(300 * 30 ** number(made, "taylor_exponent"))
    assert numbers(made, "speed_low", "speed_high") == [300, 400]


def test_scattered_lives_give_what_other_libraries_give():
    for count in (3, 6, 15):
        x = np.log(RANDOM.uniform(100, 250, count))
        y = (math.log(320) - x) / 0.25 + RANDOM.normal(0, 0.05, count)
        made, other, t = taylor(np.exp(x), np.exp(y)), stats.linregress(x, y), stats.t.ppf(0.975, count - 2)
        assert number(made, "taylor_exponent") == pytest.approx(-1 / other.slope)
        assert number(made, "taylor_constant") == pytest.approx(math.exp(-other.intercept / other.slope))
        ends = [-1 / (other.slope + way * t * other.stderr) for way in (-1, 1)]
        assert numbers(made, "taylor_exponent_low", "taylor_exponent_high") == pytest.approx(ends, rel=1e-3)


def test_standard_errors_of_taylor_are_the_spread_of_many_fits():
    """500 sets of eight tests; the spread of their fits is good to 5 % or so, and the fits' own errors lie about it."""
    x = np.log(np.linspace(120, 240, 8))
    made = [taylor(np.exp(x), np.exp((math.log(320) - x) / 0.25 + RANDOM.normal(0, 0.05, 8))) for _ in range(500)]
    for name in ("taylor_exponent", "taylor_constant"):
        found = np.array([number(fit, name) for fit in made])
        said = np.sqrt(np.mean([number(fit, f"{name}_error") ** 2 for fit in made]))
        assert said == pytest.approx(found.std(), rel=0.1)
        kept = np.mean([number(f, f"{name}_low") < t < number(f, f"{name}_high") for f, t in
                        ((fit, {"taylor_exponent": 0.25, "taylor_constant": 320}[name]) for fit in made)])  # fmt: skip
        assert kept == pytest.approx(0.95, abs=0.03)


def test_quantities_and_arrays_are_read_too():
    ureg = pint.get_application_registry()
    chips, forces = np.array([0.1, 0.3, 0.63]), np.array([2630.0, 2185.0, 1930.0])
    made = fit_kienzle(chip_thickness=chips * ureg.mm, specific_cutting_force=forces * ureg.MPa)
    assert made == kienzle(chips, forces)
    inch = fit_kienzle(chip_thickness=(chips / 25.4) * ureg.inch, specific_cutting_force=forces * ureg.MPa)
    assert inch.kc11.m_as("MPa") == pytest.approx(made.kc11.m_as("MPa"))


def test_a_fit_goes_into_a_record():
    made = kienzle([0.1, 0.3, 0.63], [2630, 2185, 1930])
    work = material("C45").with_(kienzle=made.row("our mill"), taylor=taylor([100, 150, 200], [81, 16, 5]).row("HSS"))
    row, life = work.force_constants(), work.taylor[0]
    assert (row.kc11, row.mc, row.chip_low, row.chip_high) == tuple(
        numbers(made, "kc11", "mc", "chip_low", "chip_high")
    )
    assert (row.source, row.how_known, row.scope) == ("OWN_RECORD", "derived", "grade")
    assert row.conditions.startswith("our mill; fit: kc1.1 ")
    assert "3 readings, h 0.1 mm to 0.63 mm" in row.conditions
    assert (life.substrate, life.operation, life.source) == ("HSS", "milling", "OWN_RECORD")
    assert life.conditions.startswith("fit: C ")


CHIPS, FORCES = [0.1, 0.2, 0.4], [2630, 2340, 2080]


@pytest.mark.parametrize(
    ("chips", "forces", "said"),
    [
        (CHIPS[:2], FORCES[:2], "given 2 readings; two constants and how far they are off need three or more"),
        (CHIPS, FORCES[:2], "given chip_thickness 3, specific_cutting_force 2; each reading needs a value of both"),
        ([0.1, 0.1, 0.1], FORCES, "given 0.1 to 0.1 mm; they lie too close together for an exponent"),
        ([0.1, 0.11, 0.149], FORCES, "the largest at least 1.5 times the least"),
        (CHIPS, [2000, 2000, 2000], "mc: mc 0.000 is between 0.000 and 0.000: it cannot be told from 0"),
        (CHIPS, [2000, 2300, 2700], "it cannot be told from 0"),
        (CHIPS, [2400, 1900, 2300], "it cannot be told from 0"),
        (CHIPS, [4000, 1900, 960], "the force falls as fast as the chip grows thicker"),
        ([0.1, 0.2, 0.0], FORCES, "chip_thickness: given "),
        ([0.1, 0.2, -0.4], FORCES, "chip_thickness: given "),
        (CHIPS, [2630, 2340, math.nan], "specific_cutting_force[2]: given "),
    ],
)
def test_readings_that_cannot_tell_are_refused(chips, forces, said):
    with pytest.raises(ArgumentError) as caught:
        kienzle(chips, forces)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("speeds", "lives", "said"),
    [
        ([100, 150], [80, 16], "given 2 readings"),
        ([100, 110, 119], [80, 60, 40], "the largest at least 1.2 times the least"),
        ([100, 150, 200], [20, 30, 40], "it cannot be told from 0"),
        ([100, 150, 200], [20, 12, 19], "it cannot be told from 0"),
        ([100, 200, 400], [40, 25, 15.6], "tool life falls by less than the speed rises"),
        ([100, 150, 200], [80, 16, 0], "tool_life: given "),
    ],
)
def test_tests_that_cannot_tell_are_refused(speeds, lives, said):
    with pytest.raises(ArgumentError) as caught:
        taylor(speeds, lives)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    "given", [[0.1, 0.2, 0.4], "0.1 mm", ["0.1 mm", "0.2 kg", "0.4 mm"], [], None, ["0.1", "x", 3]]
)
def test_readings_without_a_unit_or_a_list_are_refused(given):
    with pytest.raises(ArgumentError, match=r"kc1\.1 and mc cannot be fitted: chip_thickness"):
        fit_kienzle(chip_thickness=given, specific_cutting_force=texts(FORCES, "N/mm^2"))


def test_all_that_is_wrong_is_told_at_once():
    with pytest.raises(ArgumentError) as caught:
        fit_taylor(cutting_speed=[1, 2, 3], tool_life=["1 mm"])
    assert [fault.where for fault in caught.value.faults] == ["cutting_speed", "tool_life[0]"]
