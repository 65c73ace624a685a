"""The derived cases of reference/derived_*.toml, each worked out again by other means than the library's.

Nothing here imports millcalc.  A case names formula, inputs and how it is derived; its function gives the value,
which is printed with as many digits as the case carries.  Counting goes through whole numbers and fractions,
geometry through roots, walked paths, sampled rims and quadrature, cutters through the witness of tests/witness.
"""
