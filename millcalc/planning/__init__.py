"""Planning: a job in, a plan out."""

from millcalc.cutters import BallEndMill
from millcalc.planning.assumed import Assumptions
from millcalc.planning.comparing import Comparison, compare
from millcalc.planning.job import Axis, Before, Finish, FinishingJob, Fixed, Machine, Passes, Surface
from millcalc.planning.plan import Plan, plan
from millcalc.planning.reading import example_job, example_text, read_job

__all__ = [
    "Assumptions",
    "Axis",
    "BallEndMill",
    "Before",
    "Comparison",
    "Finish",
    "FinishingJob",
    "Fixed",
    "Machine",
    "Passes",
    "Plan",
    "Surface",
    "compare",
    "example_job",
    "example_text",
    "plan",
    "read_job",
]
