"""Cutters: the ball-nose cutter; other families follow."""

from millcalc.cutters.ball import BallEndMill

__all__ = ["BallEndMill"]
