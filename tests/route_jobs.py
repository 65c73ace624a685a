"""Routes for the tests of planning; pocket, surface and cutters are invented."""

import millcalc as m

MACHINE = m.Machine(largest_spindle_speed="18000 rpm", largest_feed_rate="8 m/min")
POCKET = {"width": "50 mm", "length": "90 mm", "depth": "12 mm", "corner_angle": "90 deg", "fillet_radius": "4 mm"}
SURFACE = {"width": "45 mm", "length": "80 mm"}
FINISH = {"ra": "0.8 um", "form_tolerance": "0.03 mm"}
AXIS = m.Axis(lead="10 deg")


def flat(diameter, **more):
    return m.FlatEndMill(diameter=f"{diameter} mm", teeth=4, **more)


def ball(diameter, **more):
    return m.BallEndMill(diameter=f"{diameter} mm", teeth=2, **more)


DRAWER = {
    "E12": flat(12, overhang="40 mm"),
    "C12": m.CornerRadiusEndMill(diameter="12 mm", corner_radius="1 mm", teeth=4),
    "E6": flat(6, overhang="24 mm"),
    "C6": m.CornerRadiusEndMill(diameter="6 mm", corner_radius="0.5 mm", teeth=4),
    "B8": ball(8, overhang="32 mm"),
    "B6": ball(6),
}
ROUGH = {"kind": "rough", "cutter": "E12", "stock_left": "0.5 mm"}
CORNERS = {"kind": "corners", "cutter": "E6"}
SEMI = {"kind": "semi-finish", "cutter": "B8", "stock_left": "0.1 mm", "scallop_height": "15 um"}
LAST = {"kind": "finish", "cutter": "B6"}


def route(*steps, pocket=None, surface=None, **more):
    """Return a route of these operations; tables are changed field by field."""
    made = {"pocket": m.Pocket(**POCKET | (pocket or {})), "surface": m.Surface(**SURFACE | (surface or {}))}
    made |= {"finish": m.Finish(**FINISH), "axis": AXIS, "drawer": DRAWER, "material": "42CrMo4", "machine": MACHINE}
    return m.Route(operations=[m.Operation(**s) for s in steps], **made | more)
