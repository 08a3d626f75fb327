"""SVG to PNG, with our font and no other (extra `png`)."""

from __future__ import annotations

from importlib.resources import as_file, files

DPI = 96
FAMILY = "Wirecheck Sans"  # as our font calls itself; an overview asks for any sans
ZOOM = 2.0  # pixels a unit, so that text of 11 units is legible on a print


class NoRenderer(Exception):
    """The library that the extra `png` brings is not installed."""


def png(svg: str) -> bytes:
    """The picture as PNG, in full colour. Raises NoRenderer."""
    try:
        import resvg_py
    except ModuleNotFoundError as error:
        raise NoRenderer("resvg-py is not installed") from error
    with as_file(files("wirecheck.draw").joinpath("font")) as folder:
        fonts = [str(folder / name) for name in ("regular.ttf", "bold.ttf")]
        return bytes(
            resvg_py.svg_to_bytes(
                svg_string=svg,
                dpi=DPI,
                zoom=ZOOM,
                skip_system_fonts=True,
                font_files=fonts,
                font_family=FAMILY,
                sans_serif_family=FAMILY,
            )
        )
