"""What a roughing plan costs, one by one against a thousand side by side, timed in the same run."""

import numpy as np
from benchmarks.test_bench_plan import ratio

from millcalc.planning import example_text, plan
from millcalc.planning.reading import job_from_text
from millcalc.planning.roughing.inputs import roughing_inputs
from millcalc.planning.roughing.kernel import run

JOB = job_from_text(example_text("roughing"))
COUNT = 1000


def test_a_thousand_variants_cost_less_than_twenty_five_plans():
    inputs = roughing_inputs(JOB)
    varied = {"stock_left": np.linspace(0.1, 1.0, COUNT), "depth_share": np.linspace(0.05, 0.6, COUNT)}
    done = run(inputs.choices, inputs.numbers | varied)
    assert np.isfinite(done.values["operation_time"]).all()
    found = ratio(lambda: run(inputs.choices, inputs.numbers | varied), lambda: plan(JOB), 25.0, (1, 3), 3)
    assert found <= 25.0
