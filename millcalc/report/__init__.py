"""Plans, routes and comparisons as plain text.

The public names are loaded when first used: who prints a plan does not wait for routes.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from millcalc.report._routes import front_page, route_page
    from millcalc.report.proving import patch_page, sensitivity_page
    from millcalc.report.shop_html import page_html
    from millcalc.report.shop_page import Page, page_of, page_text
    from millcalc.report.shop_pdf import page_pdf
    from millcalc.report.text import comparison_page, plan_page

_HOMES = {
    "comparison_page": "millcalc.report.text",
    "front_page": "millcalc.report._routes",
    "Page": "millcalc.report.shop_page",
    "page_html": "millcalc.report.shop_html",
    "patch_page": "millcalc.report.proving",
    "sensitivity_page": "millcalc.report.proving",
    "page_pdf": "millcalc.report.shop_pdf",
    "page_of": "millcalc.report.shop_page",
    "page_text": "millcalc.report.shop_page",
    "plan_page": "millcalc.report.text",
    "route_page": "millcalc.report._routes",
}

__all__ = [
    "Page",
    "comparison_page",
    "front_page",
    "page_html",
    "page_of",
    "page_pdf",
    "page_text",
    "patch_page",
    "plan_page",
    "route_page",
    "sensitivity_page",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"millcalc.report has no name {name!r}")
    value = getattr(importlib.import_module(_HOMES[name]), name)
    globals()[name] = value
    return value
