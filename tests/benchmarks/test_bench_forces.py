"""What the force over a turn costs, and how much memory, for a thousand variants in one call."""

import tracemalloc

import numpy as np
from benchmarks.test_bench_plan import ratio

from millcalc import BallEndMill
from millcalc.loads.course import force_course

VARIANTS, ANGLES, ELEMENTS = 1000, 360, 50
PROFILE = BallEndMill(diameter="10 mm", teeth=2).profile
CUT = (np.linspace(0.1, 1.0, VARIANTS), 10.0, 5.0, np.linspace(0.2, 2.0, VARIANTS), 0.0)
TITANIUM = (1825.0, 770.0, 735.0, 29.7, 55.7, 1.8, 0.0)


def course():
    return force_course(PROFILE, CUT, 0.05, 30.0, 0.0, TITANIUM, 2, ANGLES, ELEMENTS)


def passes_over_the_elements():
    """Sixty plain operations on as many elements, a chunk of the cache's size at a time."""
    chunk = np.linspace(0.0, 1.0, ANGLES * ELEMENTS)
    out = np.empty_like(chunk)
    for _ in range(VARIANTS):
        for _ in range(30):
            np.multiply(chunk, 1.000001, out=out)
            np.add(out, chunk, out=out)


def test_a_thousand_variants_cost_no_more_than_plain_arrays():
    assert ratio(course, passes_over_the_elements, 10.0, numbers=(1, 1), rounds=2) <= 10.0


def test_a_thousand_variants_stay_under_200_megabytes():
    tracemalloc.start()
    course()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 200e6
