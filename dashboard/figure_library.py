"""Which build of the figure library a chart page loads: the small cartesian one where its version fits."""

from __future__ import annotations

from pathlib import Path

from plotly.offline import get_plotlyjs_version

ASSETS = Path(__file__).parent / "assets"


def bundle_address(version: str | None = None) -> str:
    """Address of the bundle: ours if it is of the version that plotly expects, else the package's whole library."""
    version = version or get_plotlyjs_version()
    name = f"plotly-cartesian-{version}.min.js"
    if (ASSETS / name).is_file():
        return f"/assets/{name}?v={version}"
    return "/_dash-component-suites/plotly/package_data/plotly.min.js"
