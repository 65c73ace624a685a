"""The part of a leaned cutter that cuts, by sampling its surface and constrained search from the best samples.

Patches: each piece of the profile, each sharp corner, the cylinder above; a point lies at a share of its patch and an
angle about the axis.  It is in the cut where its normal leads, it lies below the stock plane, and outside the shadow
of the pass before.  Derived; extremes good to about 1e-9 mm.
"""

import math

import numpy as np
from scipy.optimize import minimize

from witness.bodies import Body


class Cut:
    """The conditions of a cut; the uncut stock stands on the left, for the right the tool is mirrored."""

    def __init__(self, pieces, depth, lead, tilt, stepover=None, uncut_side="left"):
        self.body = Body(pieces, lead, tilt if uncut_side == "left" else -tilt)
        self.depth, self.stepover = depth, stepover
        f, c, n = self.body.axis
        self.sine, self.cosine = f, math.hypot(c, n)
        # square to the axis: nearest the feed, and to the left
        self.ahead = np.array([self.cosine, -f * c / self.cosine, -f * n / self.cosine])
        self.left = np.array([0.0, n / self.cosine, -c / self.cosine])
        heights = depth * np.linspace(1e-6, 1.0, 300) ** 2
        self.table = heights, np.array([self.body.reach(h, 1) for h in heights])

    def place(self, height, radius, angle):
        """Across and up of points, from the contact."""
        out = np.cos(angle)[..., None] * self.ahead + np.sin(angle)[..., None] * self.left
        across = height * self.body.axis[1] + radius * out[..., 1] - self.body.touch
        up = height * self.body.axis[2] + radius * out[..., 2] + self.body.sink
        return across, up

    def leads(self, psi, angle):
        """Component of the normal along the feed."""
        return np.sin(psi) * np.cos(angle) * self.cosine - np.cos(psi) * self.sine

    def margins(self, patch, share, angle, exact=False):
        """By how much points lie within each condition."""
        height, radius, low, high = patch(share)
        across, up = self.place(height, radius, angle)
        # of a sharp corner any normal of its fan counts: both ends, and where the component is greatest
        best = np.clip(np.arctan2(np.cos(angle) * self.cosine, -self.sine), low, high)
        leads = np.maximum.reduce([self.leads(p, angle) for p in (low, high, best)])
        found = [leads, self.depth - up]
        if self.stepover is not None:
            if exact:
                reach = self.body.reach(float(np.clip(up, 1e-13, self.depth)), 1)
            else:
                reach = np.interp(up, *self.table)
            found.append(across - (reach - self.stepover))
        return found


def patches(pieces, depth, cosine):
    """A function of a share for each patch: height, radius, and both ends of its normals' angles."""
    made, last = [], 0.0
    for place, piece in enumerate(pieces):
        (z0, r0), (z1, r1) = piece[1:3]
        if piece[0] == "line":
            first = end = math.atan2(z1 - z0, r1 - r0)

            def patch(s, z0=z0, r0=r0, z1=z1, r1=r1, psi=first):
                return z0 + s * (z1 - z0), r0 + s * (r1 - r0), psi + 0.0 * s, psi + 0.0 * s
        else:
            zc, rc = piece[3]
            rho = math.dist(piece[1], piece[3])
            first, end = (math.atan2(r - rc, zc - z) for z, r in piece[1:3])

            def patch(s, zc=zc, rc=rc, rho=rho, first=first, end=end):
                psi = first + s * (end - first)
                return zc - rho * np.cos(psi), rc + rho * np.sin(psi), psi, psi

        made.append(patch)
        if place and first > last + 1e-9:
            made.append(lambda s, z=z0, r=r0, a=last, b=first: (z + 0.0 * s, r + 0.0 * s, a + 0.0 * s, b + 0.0 * s))
        last = end
    z, r = pieces[-1][2]
    if last < math.pi / 2 - 1e-9:
        made.append(lambda s, a=last: (z + 0.0 * s, r + 0.0 * s, a + 0.0 * s, math.pi / 2 + 0.0 * s))
    rise = 2.0 * (depth + 2.0 * r) / max(cosine, 0.05)
    made.append(lambda s: (z + s * rise, r + 0.0 * s, math.pi / 2 + 0.0 * s, math.pi / 2 + 0.0 * s))
    return made


def extreme(cut, value, sign):
    """The greatest (sign 1) or least (-1) value of a function of (patch, share, angle) over the part that cuts."""
    share, angle = np.meshgrid(np.linspace(0.0, 1.0, 301), np.linspace(-math.pi, math.pi, 721), indexing="ij")
    best = -math.inf
    for patch in patches(cut.body.pieces, cut.depth, cut.body.axis[2]):
        within = np.minimum.reduce(cut.margins(patch, share, angle))
        values = np.where(within >= 0.0, sign * value(patch, share, angle), -np.inf)
        starts = [np.unravel_index(np.argmax(values), values.shape), np.unravel_index(np.argmax(within), within.shape)]
        for start in starts:
            if within[start] < -0.02:
                continue
            found = _climbed(cut, patch, value, sign, (share[start], angle[start]))
            best = max(best, found)
    return sign * best


def _climbed(cut, patch, value, sign, start):
    def goal(x):
        return -sign * float(value(patch, np.float64(x[0]), np.float64(x[1])))

    rules = [
        {"type": "ineq", "fun": lambda x, i=i: float(cut.margins(patch, np.float64(x[0]), np.float64(x[1]), True)[i])}
        for i in range(2 if cut.stepover is None else 3)
    ]
    best, at = -math.inf, np.array(start, dtype=float)
    for _ in range(3):
        found = minimize(
            goal,
            at,
            method="SLSQP",
            bounds=[(0.0, 1.0), (-4.0, 4.0)],
            constraints=rules,
            options={"ftol": 1e-15, "maxiter": 200, "eps": 1e-9},
        )
        at = found.x
        if min(rule["fun"](at) for rule in rules) >= -1e-9:
            best = max(best, -found.fun)
    return best


def cutting_diameters(pieces, depth, lead, tilt, stepover=None, uncut_side="left"):
    """Least and largest diameter over the part that cuts."""
    cut = Cut(pieces, depth, lead, tilt, stepover, uncut_side)

    def radius(patch, share, angle):
        return patch(share)[1] + 0.0 * angle

    return 2.0 * extreme(cut, radius, -1.0), 2.0 * extreme(cut, radius, 1.0)


def chip_reach(pieces, depth, lead, tilt, stepover=None, uncut_side="left"):
    """Largest component of the normal along the feed over the part that cuts; sharp corners have no area."""
    cut = Cut(pieces, depth, lead, tilt, stepover, uncut_side)

    def forward(patch, share, angle):
        _, _, low, high = patch(share)
        return np.where(low == high, cut.leads(low, angle), 0.0)

    return extreme(cut, forward, 1.0)
