"""What `evaluate_path` computes, fused by hand into loops that numba compiles: what a benchmark measures by."""

import numpy as np
from numba import njit, prange


@njit(parallel=True, error_model="numpy", cache=False)
def points(p, t, n, case, step, way, least, contact, largest, speeds, rate, cap):
    """First loop: geometry, diameters, speeds, feed rates, corner speeds; `case` holds the numbers."""
    diameter, cosine, sine, wanted, fastest, block_time, delta, acceleration, factor = case
    radius, count = 0.5 * diameter, len(p)
    for i in prange(count):
        b, e = max(i - 1, 0), min(i + 1, count - 1)
        a0, a1, a2 = p[i, 0] - p[b, 0], p[i, 1] - p[b, 1], p[i, 2] - p[b, 2]
        b0, b1, b2 = p[e, 0] - p[i, 0], p[e, 1] - p[i, 1], p[e, 2] - p[i, 2]
        if i == 0:
            a0, a1, a2 = b0, b1, b2
        if i == count - 1:
            b0, b1, b2 = a0, a1, a2
        la, lb = np.sqrt(a0 * a0 + a1 * a1 + a2 * a2), np.sqrt(b0 * b0 + b1 * b1 + b2 * b2)
        ia, ib = 1 / la, 1 / lb
        t0, t1, t2 = b0 * ib - a0 * ia, b1 * ib - a1 * ia, b2 * ib - a2 * ia
        s0, s1, s2 = b0 * ib + a0 * ia, b1 * ib + a1 * ia, b2 * ib + a2 * ia
        square = 0.25 * (t0 * t0 + t1 * t1 + t2 * t2)
        c = np.sqrt(max(1 - square, 0.0))
        arc = min(0.5 * min(la, lb) / np.sqrt(square), delta * (1 + c) / square) * c
        q = 1 / np.sqrt(t[i, 0] ** 2 + t[i, 1] ** 2 + t[i, 2] ** 2)
        r = 1 / np.sqrt(n[i, 0] ** 2 + n[i, 1] ** 2 + n[i, 2] ** 2)
        n0, n1, n2 = n[i, 0] * r, n[i, 1] * r, n[i, 2] * r
        g0, g1, g2 = t[i, 0] * q - n0, t[i, 1] * q - n1, t[i, 2] * q - n2
        q = 1 / np.sqrt(t[b, 0] ** 2 + t[b, 1] ** 2 + t[b, 2] ** 2)
        r = 1 / np.sqrt(n[b, 0] ** 2 + n[b, 1] ** 2 + n[b, 2] ** 2)
        c0 = a0 + radius * (g0 - t[b, 0] * q + n[b, 0] * r)
        c1 = a1 + radius * (g1 - t[b, 1] * q + n[b, 1] * r)
        c2 = a2 + radius * (g2 - t[b, 2] * q + n[b, 2] * r)
        w = g0 * g0 + g1 * g1 + g2 * g2
        along = s0 * n0 + s1 * n1 + s2 * n2
        inverse = 1 / np.sqrt(s0 * s0 + s1 * s1 + s2 * s2 - along * along)
        f = (g0 * s0 + g1 * s1 + g2 * s2 + along * w * 0.5) * inverse
        x = s0 * (g1 * n2 - g2 * n1) + s1 * (g2 * n0 - g0 * n2) + s2 * (g0 * n1 - g1 * n0)
        side, ahead, behind = (x * inverse) ** 2, max(f, 0.0) ** 2, min(f, 0.0) ** 2
        up = 1 - 0.5 * w
        reach, lift = np.sqrt(side + ahead), up * sine
        step[i], way[i] = la if i else 0.0, np.sqrt(c0 * c0 + c1 * c1 + c2 * c2)
        largest[i] = diameter
        if up * cosine > sine * reach:
            largest[i] = diameter * np.sqrt(behind + (lift + cosine * reach) ** 2)
        least[i] = diameter * np.sqrt(ahead + max(cosine * np.sqrt(side + behind) - lift, 0.0) ** 2)
        contact[i] = diameter * np.sqrt(side + ahead + behind)
        speeds[0, i], speeds[1, i], speeds[2, i] = least[i] * factor, contact[i] * factor, largest[i] * factor
        rate[i] = 60 * min(wanted * la / way[i], fastest, la / block_time)
        cap[i] = acceleration * arc


@njit(error_model="numpy")
def along(step, rate, cap, acceleration, u):
    """The look-ahead: squares of speeds, forward and backward."""
    count = len(step)
    u[0] = 0.0
    for i in range(1, count):
        own = rate[i] / 60
        allowed = min(cap[i], own * own)
        allowed = min(allowed, (rate[i + 1] / 60) ** 2) if i < count - 1 else 0.0
        u[i] = min(allowed, u[i - 1] + 2 * acceleration * step[i])
    for i in range(count - 2, -1, -1):
        u[i] = min(u[i], u[i + 1] + 2 * acceleration * step[i + 1])


@njit(parallel=True, error_model="numpy")
def loads(step, way, rate, u, acceleration, share, width, time, mean, chip, removal, cause):
    """Last loop: times and what follows from them."""
    time[0] = 0.0
    mean[0] = chip[0] = removal[0] = np.nan
    for i in prange(1, len(step)):
        half, own = 0.5 * (u[i] + u[i - 1]), (rate[i] / 60) ** 2
        free = half + acceleration * step[i]
        cause[i] = 0 if free >= own * (1 - 1e-9) else 7
        peak = max(min(free, own), half)
        v = np.sqrt(peak)
        spent = (2 * v - np.sqrt(u[i]) - np.sqrt(u[i - 1])) / acceleration
        spent += max(step[i] - (peak - half) / acceleration, 0.0) / v
        time[i], mean[i] = spent * 1000, step[i] / spent * 60
        chip[i], removal[i] = way[i] / spent * 60 * share, way[i] / spent * 60 * width
