"""Paths of dask arrays: lazy, chunk by chunk, the same as whole ones, also where a worker is lost on the way."""

import time

import numpy as np
import pytest
from path_cases import BALL, CUT, MACHINE, wavy, wavy_path

from millcalc import CornerRadiusEndMill
from millcalc.planning.paths.evaluation import evaluate_path
from millcalc.planning.paths.points import Path

da = pytest.importorskip("dask.array")
COUNT = 3000
CUT = CUT.with_(least_cutting_speed="50 m/min")


def lazy_path(count, chunk):
    points, axis, normal = (da.from_array(part, chunks=(chunk, 3)) for part in wavy(count))
    return Path(points, axis=axis, normal=normal, unit="mm")


def assert_same(found, whole):
    for name in found.keys():  # noqa: SIM118 - a result is no mapping
        np.testing.assert_allclose(np.asarray(found[name]), whole[name], rtol=1e-9, atol=1e-12, err_msg=name)
    summary = found.summary()
    assert summary.time.magnitude == pytest.approx(whole.time.magnitude, rel=1e-12)
    assert {c: n for c, (n, _) in summary.governed.items()} == {c: n for c, (n, _) in whole.governed.items()}
    assert (summary.slow_points, summary.first_slow_row) == (whole.slow_points, whole.first_slow_row)
    assert summary.extremes["largest_speed"] == whole.extremes["largest_speed"]


@pytest.mark.parametrize("look_ahead", [None, 5])
def test_lazy_values_are_those_of_the_whole_path(look_ahead):
    cut = CUT if look_ahead is None else CUT.with_(look_ahead=look_ahead)
    found = evaluate_path(lazy_path(COUNT, 700), BALL, MACHINE, cut)
    assert isinstance(found["feed_rate"], da.Array)
    assert found["feed_rate"].chunks == ((700, 700, 700, 700, 200),)
    assert_same(found, evaluate_path(wavy_path(COUNT), BALL, MACHINE, cut))


@pytest.fixture(scope="module")
def cluster():
    """Two workers on this machine."""
    distributed = pytest.importorskip("distributed")
    local = distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None)
    with local, distributed.Client(local):
        yield local


def test_other_forms_go_to_workers_of_their_own(cluster):
    """What searches a form's chip holds a lock, which cannot be sent away."""
    cutter = CornerRadiusEndMill(diameter="10 mm", corner_radius="1 mm", teeth=4)
    lead = 5.0 + np.arange(40) % 2
    lean = {"tilt": 0.0, "unit": "mm", "angle_unit": "deg"}
    path = Path(step=da.full(40, 0.1, chunks=20), lead=da.from_array(lead, chunks=20), **lean)
    whole = evaluate_path(Path(step=np.full(40, 0.1), lead=lead, **lean), cutter, MACHINE, CUT, keep=("feed_rate",))
    found = np.asarray(evaluate_path(path, cutter, MACHINE, CUT, keep=("feed_rate",))["feed_rate"])
    np.testing.assert_allclose(found, whole["feed_rate"], rtol=1e-12)


def slow_chunk(chunk):
    time.sleep(0.3)
    return chunk


def test_a_worker_that_is_lost_changes_nothing(cluster):
    distributed = pytest.importorskip("distributed")
    points, axis, normal = (da.from_array(part, chunks=(300, 3)) for part in wavy(COUNT))
    path = Path(points.map_blocks(slow_chunk), axis=axis, normal=normal, unit="mm")
    found = evaluate_path(path, BALL, MACHINE, CUT, keep=("feed_rate", "block_time"))
    whole = evaluate_path(wavy_path(COUNT), BALL, MACHINE, CUT, keep=("feed_rate", "block_time"))
    futures = da.stack([found["feed_rate"], found["block_time"]]).persist()
    time.sleep(0.9)
    unfinished = [f for f in distributed.futures_of(futures) if f.status != "finished"]
    assert unfinished, "the worker is lost on the way, not after it"
    next(iter(cluster.workers.values())).process.process.kill()
    rates = futures.compute()
    np.testing.assert_allclose(rates[0], whole["feed_rate"], rtol=1e-9)
    np.testing.assert_allclose(rates[1], whole["block_time"], rtol=1e-9, atol=1e-12)
