"""The glossary: every public parameter name, its kind, its symbol and what it means.

One name per concept.  A test compares it with the signatures and docstrings of all formulas.
"""

from __future__ import annotations

import attrs

from millcalc.quantities import kinds as k
from millcalc.quantities.kinds import Kind

__all__ = ["GLOSSARY", "Term"]


@attrs.frozen
class Term:
    """One name of the glossary."""

    name: str
    kind: Kind
    symbol: str
    meaning: str


def _terms(*rows: tuple[str, Kind, str, str]) -> dict[str, Term]:
    return {row[0]: Term(*row) for row in rows}


GLOSSARY: dict[str, Term] = _terms(
    # cutter and engagement
    ("diameter", k.LENGTH, "D", "cutter diameter; of a ball-nose cutter the diameter of the ball"),
    ("edge_diameter", k.LENGTH, "d_e", "diameter of the circle of a round cutting edge or insert"),
    ("arc_diameter", k.LENGTH, "d_a", "diameter of the finished arc or bore"),
    ("teeth", k.COUNT, "z", "number of cutting edges"),
    ("axial_depth", k.LENGTH, "a_p", "depth of cut along the cutter axis"),
    ("normal_depth", k.LENGTH, "a_n", "stock to remove, along the surface normal"),
    ("radial_width", k.LENGTH, "a_e", "width of cut across the feed, in the plane square to the axis"),
    ("edge_angle", k.ANGLE, "kappa", "tool cutting edge angle"),
    ("engagement_angle", k.ANGLE, "phi", "angle over which a tooth is in the cut"),
    ("inside", k.FLAG, "inside", "whether the arc is cut from the inside, as a bore"),
    ("chip_thickness", k.CHIP_THICKNESS, "h", "undeformed chip thickness"),
    ("edge_radius", k.DEFLECTION, "r_n", "rounding of the cutting edge"),
    (
        "eccentricity",
        k.DEFLECTION,
        "e_r",
        "distance of the cutter's axis from the axis of rotation, half the runout",
    ),
    ("least_chip_ratio", k.RATIO, "q_h", "least chip an edge can cut, as a multiple of its edge radius"),
    # speeds and feeds
    ("cutting_speed", k.CUTTING_SPEED, "v_c", "speed of the cutting edge at a stated diameter"),
    ("spindle_speed", k.SPINDLE_SPEED, "n", "spindle speed"),
    ("feed_per_tooth", k.FEED_PER_TOOTH, "f_z", "feed per tooth"),
    ("feed_per_revolution", k.FEED_PER_REVOLUTION, "f", "feed per revolution"),
    ("feed_rate", k.FEED_RATE, "v_f", "feed rate of the point named"),
    ("length", k.LENGTH, "l", "length of travel"),
    # forces and drive
    ("kc11", k.STRESS, "k_c11", "specific cutting force at a chip of 1 mm thickness and width"),
    ("mc", k.RATIO, "m_c", "exponent of the chip thickness in the law of Kienzle"),
    ("specific_cutting_force", k.STRESS, "k_c", "force along the cutting speed over the section of the chip"),
    ("rake_angle", k.ANGLE, "gamma_o", "rake angle of the edge"),
    ("base_rake_angle", k.ANGLE, "gamma_b", "rake angle that force constants were measured with"),
    ("wear_factor", k.RATIO, "q_w", "force of a worn edge over that of a sharp one"),
    ("chip_width", k.LENGTH, "b", "width of the chip along the edge"),
    ("tangential_force", k.FORCE, "F_t", "force along the cutting speed"),
    ("specific_energy", k.SPECIFIC_ENERGY, "u", "energy to remove a volume; the unit power of handbooks"),
    ("brinell_hardness", k.BRINELL, "HB", "Brinell hardness"),
    ("wanted_hardness", k.BRINELL, "HB_w", "Brinell hardness that a value is wanted for"),
    ("hardness_exponent", k.RATIO, "q_B", "exponent by which cutting speed falls with hardness"),
    ("base_energy", k.SPECIFIC_ENERGY, "u_0", "specific energy where its line over hardness meets no hardness"),
    ("energy_rise", k.SPECIFIC_ENERGY, "u_B", "rise of the specific energy a point of Brinell hardness"),
    ("removal_rate", k.REMOVAL_RATE, "Q", "volume removed in unit time"),
    ("cutting_power", k.POWER, "P_c", "power at the cutter"),
    ("spindle_torque", k.TORQUE, "M_c", "torque at the spindle"),
    ("efficiency", k.RATIO, "eta", "share of the motor's power that reaches the cutter"),
    ("rated_torque", k.TORQUE, "M_r", "torque of a drive up to its base speed"),
    ("rated_power", k.POWER, "P_r", "power of a drive from its base speed on"),
    ("cut", k.CUT, "cut", "whether the tooth cuts from thick to thin (climb) or from thin to thick (conventional)"),
    ("shear_stress", k.STRESS, "tau_s", "stress in the plane in which the chip shears"),
    ("shear_angle", k.ANGLE, "phi_n", "angle between the cutting speed and the shear plane"),
    ("friction_angle", k.ANGLE, "beta_a", "angle of friction between chip and rake face"),
    ("chip_ratio", k.RATIO, "r_c", "thickness of the uncut over that of the cut chip"),
    ("edge_inclination", k.ANGLE, "lambda_s", "angle between the edge and the normal of the cutting speed"),
    ("chip_low", k.CHIP_THICKNESS, "h_1", "least chip thickness of a range"),
    ("chip_high", k.CHIP_THICKNESS, "h_2", "largest chip thickness of a range"),
    ("entry_angle", k.ANGLE, "phi_s", "angle at which a tooth enters the cut, from the direction square to the feed"),
    ("exit_angle", k.ANGLE, "phi_e", "angle at which a tooth leaves the cut"),
    ("tangential_coefficient", k.STRESS, "K_tc", "force along the cutting speed over the section of the chip"),
    ("radial_coefficient", k.STRESS, "K_rc", "force square to the cut surface over the section of the chip"),
    ("axial_coefficient", k.STRESS, "K_ac", "force along the axis over the section of the chip"),
    ("tangential_edge_force", k.EDGE_FORCE, "K_te", "force along the cutting speed for each mm of chip width"),
    ("radial_edge_force", k.EDGE_FORCE, "K_re", "force square to the cut surface for each mm of chip width"),
    ("axial_edge_force", k.EDGE_FORCE, "K_ae", "force along the axis for each mm of chip width"),
    # tool as a bar, balance
    # stiffness and balance
    ("force", k.FORCE, "F", "force square to the tool's axis"),
    ("overhang", k.LENGTH, "L", "length out of the holder, from the tip to the clamp"),
    ("flute_length", k.LENGTH, "l_f", "length of the fluted part, from the tip"),
    ("shank_diameter", k.LENGTH, "d_s", "diameter of the shank"),
    ("load_height", k.LENGTH, "z_F", "height over the tip at which the force acts"),
    ("lever", k.LENGTH, "l_F", "distance from the force to the section looked at"),
    ("tip_stiffness", k.STIFFNESS, "k", "force at the tip over its deflection"),
    ("modulus", k.MODULUS, "E", "modulus of elasticity of the tool's body"),
    ("density", k.DENSITY, "rho", "density of the tool's body"),
    ("equivalent_ratio", k.RATIO, "q_D", "diameter of the bar that bends as the flutes do, over the cutter's"),
    ("stiffness", k.STIFFNESS, "k", "force over deflection, at the tip"),
    ("mass", k.MASS, "m", "mass of the rotor, or of the bar out of its clamp"),
    ("tip_mass", k.MASS, "m_t", "mass at the end of a bar, besides its own"),
    ("balance_grade", k.BALANCE_GRADE, "G", "balance quality grade of ISO 21940-11"),
    ("unbalance", k.UNBALANCE, "U", "residual unbalance: mass times the distance of its centre from the axis"),
    # surface and lean
    ("inclination", k.ANGLE, "beta", "angle between the cutter axis and the surface normal"),
    ("lead", k.ANGLE, "lambda_f", "lean of the axis toward the feed; positive: contact ahead of the tip"),
    ("tilt", k.ANGLE, "tau", "lean of the axis across the feed; positive: toward the left of the feed"),
    ("slope", k.ANGLE, "theta", "angle between the surface and the horizontal"),
    ("stepover", k.LENGTH, "s", "distance between neighbouring passes along the surface"),
    ("plan_spacing", k.LENGTH, "s_p", "distance between neighbouring passes in plan view"),
    ("step_down", k.LENGTH, "s_d", "distance between neighbouring passes in height"),
    ("stair_thickness", k.LENGTH, "t_s", "largest thickness of the stairs of roughing, along the surface normal"),
    ("greatest_depth", k.LENGTH, "a_g", "stock with the stairs or scallops that stand on it"),
    ("uncut_side", k.SIDE, "side", "side of the feed on which the stock still stands"),
    (
        "surface_radius",
        k.RADIUS,
        "rho",
        "radius of the surface: convex positive, concave negative, flat infinite",
    ),
    ("wall_distance", k.LENGTH, "d_w", "distance of a wall from the contact, on the floor"),
    ("wall_height", k.LENGTH, "H_w", "height of a wall, along the surface normal"),
    ("wall_side", k.SIDE, "side", "side of the feed on which the wall stands"),
    ("draft", k.ANGLE, "delta_w", "lean of a wall from the surface normal; positive: away from the tool"),
    ("margin", k.LENGTH, "m_c", "clearance that is kept"),
    ("longest", k.LENGTH, "L_max", "largest overhang looked at"),
    ("cutting_only", k.FLAG, "cutting", "whether only the part of the tool that cuts is looked at"),
    ("axis_fixed", k.FLAG, "fixed", "whether the axis keeps its direction in space while the surface normal turns"),
    ("path_radius", k.LENGTH, "r", "radius of the path of the point named"),
    ("width", k.LENGTH, "w", "width of the surface across the passes"),
    ("slope_from", k.ANGLE, "theta_1", "slope at one edge of the surface"),
    ("slope_to", k.ANGLE, "theta_2", "slope at the other edge of the surface"),
    ("heading", k.ANGLE, "psi", "direction of travel on a slope: 0 along it, hill on the left; 90 uphill"),
    ("axis_downhill", k.RATIO, "t_x", "component of a fixed axis toward the foot of the slope, horizontally"),
    ("axis_along", k.RATIO, "t_y", "component of a fixed axis along the slope"),
    ("axis_up", k.RATIO, "t_z", "component of a fixed axis upward"),
    # passes and program
    ("passes", k.COUNT, "N_p", "number of passes"),
    ("blocks", k.COUNT, "N_b", "number of straight moves in a pass"),
    ("points", k.COUNT, "N_pt", "number of points of the path"),
    ("total_length", k.LENGTH, "L", "length of a whole path"),
    ("further_length", k.LENGTH, "l_2", "another length, added"),
    ("characters", k.COUNT, "q_c", "characters in a block of the program"),
    ("entry", k.LENGTH, "l_e", "length of the entry into a pass; the exit has the same"),
    ("factor", k.RATIO, "m", "a multiple"),
    # windows, shares and settings
    ("share", k.RATIO, "q", "a share of a whole, or a position in a window"),
    ("form_tolerance", k.LENGTH, "t_f", "tolerance of the form, or profile, on the drawing"),
    ("deflection", k.DEFLECTION, "delta", "deflection of the cutter along the surface normal"),
    ("speed_low", k.CUTTING_SPEED, "v_1", "lower end of a cutting-speed window"),
    ("speed_high", k.CUTTING_SPEED, "v_2", "upper end of a cutting-speed window"),
    ("feed_low", k.FEED_PER_TOOTH, "f_1", "lower end of a window of the feed per tooth"),
    ("feed_high", k.FEED_PER_TOOTH, "f_2", "upper end of a window of the feed per tooth"),
    ("increment", k.FEED_RATE, "c", "increment to which a feed rate is set"),
    ("fine_increment", k.LENGTH, "c_f", "increment to which a stepover below 0.1 mm is set"),
    ("coarse_increment", k.LENGTH, "c_s", "increment to which a stepover from 0.1 mm on is set"),
    # finish
    (
        "scallop_height",
        k.SCALLOP_HEIGHT,
        "h_s",
        "height of the ridge between passes, along the surface normal",
    ),
    ("feed_mark_height", k.SCALLOP_HEIGHT, "h_f", "height of the marks that teeth leave along the feed"),
    ("ra", k.ROUGHNESS, "Ra", "arithmetical mean deviation of the profile"),
    ("rz", k.ROUGHNESS, "Rz", "peak-to-valley height of the profile"),
    ("grade", k.GRADE, "N", "roughness grade number of ISO 1302"),
    # times
    ("time", k.TIME, "t_1", "time of one move"),
    ("further_time", k.TIME, "t_2", "another time, added"),
    ("cutting", k.TIME, "t_c", "time in the cut"),
    ("entry_exit", k.TIME, "t_e", "time of entries and exits"),
    ("acceleration_time", k.TIME, "t_a", "time lost to acceleration"),
    ("links", k.TIME, "t_k", "time of links between passes"),
    ("rapids", k.TIME, "t_r", "time of rapid moves"),
    ("time_factor", k.RATIO, "q_t", "measured time over computed time"),
    # tool life
    ("tool_life", k.TIME, "T", "time in the cut after which an edge is worn to its limit"),
    ("taylor_constant", k.CUTTING_SPEED, "C", "cutting speed at which an edge lasts 1 min"),
    ("taylor_exponent", k.RATIO, "n", "exponent of the tool life in Taylor's law"),
    ("second_speed", k.CUTTING_SPEED, "v_2", "cutting speed of a second test"),
    ("first_life", k.TIME, "T_1", "tool life before a condition of the cut changes"),
    ("second_life", k.TIME, "T_2", "tool life in a second test, or after the change"),
    (
        "extended_constant",
        k.CUTTING_SPEED,
        "C_e",
        "cutting speed at which an edge lasts 1 min at a feed per tooth of 1 mm and a depth of 1 mm",
    ),
    ("feed_exponent", k.RATIO, "x_f", "exponent of the feed per tooth in the extended law of Taylor"),
    ("depth_exponent", k.RATIO, "x_p", "exponent of the depth of cut in the extended law of Taylor"),
    ("life_spread", k.RATIO, "q_w", "share by which the lives of single edges differ from their mean"),
    ("life_exponent", k.RATIO, "k_T", "percent by which tool life falls where a condition of the cut rises by 1 %"),
    # cost of an operation; money of any one currency
    ("machining_time", k.TIME, "t_m", "time under feed for a part, which falls as the cutting speed rises"),
    ("cut_share", k.RATIO, "q_s", "share of the machining time in which the edge is in the cut"),
    ("change_time", k.TIME, "t_ct", "time to change a worn edge or cutter, with setting it"),
    ("handling_time", k.TIME, "t_h", "time for a part that does not depend on the cutting speed"),
    ("machine_rate", k.COST_RATE, "C_m", "cost of machine and operator for a unit of time"),
    ("tool_cost", k.COST, "C_t", "cost of what one tool change puts in: one life of the edge, or of all edges"),
    ("price", k.COST, "C_p", "price of a cutter or insert"),
    ("regrinding_cost", k.COST, "C_g", "cost of regrinding a cutter once"),
    ("edges", k.COUNT, "N_e", "lives that a cutter serves: edges of an insert, or regrindings and 1"),
    # motion
    ("step", k.LENGTH, "l_s", "distance between neighbouring points of the path"),
    ("chord_error", k.CHORD_ERROR, "e", "largest distance between the path and its chord"),
    ("block_time", k.BLOCK_TIME, "t_b", "time the control needs for one block"),
    ("acceleration", k.ACCELERATION, "a", "acceleration of the axes along the path"),
    (
        "corner_tolerance",
        k.CHORD_ERROR,
        "e_c",
        "largest distance between a rounded corner and the programmed one",
    ),
    ("rotary_rate", k.ROTARY_RATE, "omega", "largest rate of a rotary axis"),
    ("rotary_distance", k.LENGTH, "d_s", "distance of the contact from the centre of the rotary axis"),
    ("corner_angle", k.ANGLE, "gamma", "angle between the two moves at a corner; straight on is 180 deg"),
    ("fillet_radius", k.LENGTH, "r_f", "radius of the finished fillet in an inside corner"),
    ("larger_diameter", k.LENGTH, "D_1", "diameter of the larger cutter that went before"),
    ("corner_engagement", k.ANGLE, "phi_c", "angle over which a tooth is in the cut in a corner"),
    # entries into solid stock
    ("ramp_angle", k.ANGLE, "alpha_r", "angle between a descending path and the level"),
    ("pitch", k.LENGTH, "p_h", "descent of a helical path in one turn"),
    ("core_diameter", k.LENGTH, "d_c", "diameter of the middle of the end face that does not cut"),
    ("core_clearance", k.LENGTH, "h_c", "height of the middle of the end face over the cutting edges"),
    ("corner_radius", k.LENGTH, "r_e", "radius of the corner between end and side of a cutter"),
    # clearing a pocket
    ("total_depth", k.LENGTH, "d_t", "depth to cut in all, along the axis"),
    ("levels", k.COUNT, "N_z", "number of levels in which a depth is cut"),
    ("size", k.LENGTH, "B", "finished width, length or depth"),
    ("steps", k.COUNT, "N_s", "steps to a decade of a series of preferred numbers"),
    ("tolerance_grade", k.TOLERANCE_GRADE, "IT", "grade of the standard tolerances of ISO 286"),
    ("stock_left", k.LENGTH, "t_l", "stock left on a side for finishing"),
    ("sides", k.COUNT, "N_s", "number of sides on which stock is left"),
    ("rings", k.COUNT, "N_r", "number of rings round the centre line of a pocket"),
    # trochoidal loops
    ("slot_width", k.LENGTH, "w_s", "width of the slot that loops cut"),
    ("loop_step", k.LENGTH, "s_l", "step forward from loop to loop"),
    ("return_feed_rate", k.FEED_RATE, "v_r", "feed rate on the way back through the air"),
)
"""Every public parameter name."""
