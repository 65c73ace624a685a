"""Plans and comparisons as plain text."""

from millcalc.report.text import comparison_page, plan_page

__all__ = ["comparison_page", "plan_page"]
