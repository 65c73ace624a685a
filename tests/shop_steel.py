"""A shop's files for tests of materials: an invented steel, and a record that takes the name of a built-in one."""

OWN = 'source = "OWN_RECORD", how_known = "read"'
STATED = f'{OWN}, scope = "grade", conditions = "invented for the tests"'


def steel(key="our-steel", designation="Our steel", speed="[150, 200]", more=""):
    """Return the text of one material with all that a plan needs."""
    chart = f'unit = "1", diameter = [1, 30], substrate = "coated carbide", {STATED}'
    return f"""
[{key}]
designation = "{designation}"
name = "Invented steel of a shop"
iso513 = "P"
least_chip_ratio = {{ value = 0.4, unit = "1", {STATED} }}
tip_caution = {{ severity = "caution", text = "lean the axis", {OWN} }}
cutting_speeds = [
  {{ value = {speed}, unit = "m/min", substrate = "coated carbide", operation = "milling", {STATED} }},
]
feed_charts = [
  {{ value = [0.005, 0.01], radial_share = 0.05, operation = "finishing", {chart} }},
  {{ value = [0.004, 0.007], radial_share = 0.5, operation = "end milling", {chart} }},
]
{more}
"""


def written(path, *texts):
    """Write a file and return its path."""
    path.write_text("\n".join(texts), encoding="utf-8")
    return path
