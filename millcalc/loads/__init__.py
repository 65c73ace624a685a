"""What the cut does to the tool: forces integrated over the engaged edge, deflection, natural frequency."""
