"""What a cut does to the tool and a tool to the cut: forces, power, and how the tool's body gives way.

Nothing is imported here; each subject is a module of its own.
"""

__all__ = ["beam", "body", "coefficients", "course", "forces", "steps", "substrates", "summary"]
