"""The full-size drawing as DXF: mm, layers, true arcs, closed outlines, true dimensions."""

from __future__ import annotations

import io
from math import cos, radians, sin
from typing import Any

from ezdxf import options, units  # type: ignore[attr-defined]
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new

from coursekit.sheets import flat, frame_scene
from coursekit.sheets.build import Build
from coursekit.sheets.scene import LAYERS, Angle, Arc, Gap, Part, Path, Stroke, Words

_WEIGHTS = (13, 18, 25, 35, 50, 70)  # DXF's line weights, hundredths of a mm
_ALIGN = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}
_STYLE = "BENCH"


def drawing(build: Build) -> str:
    """The drawing as the text of a DXF file (R2010, `$INSUNITS` 4: mm), the same each time.

    Outlines are closed LWPOLYLINEs with a point a degree along each saddle, wheels and shell are
    ARCs and CIRCLEs, dimensions are DIMENSIONs that a drawing program can measure again.
    """
    fixed = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no time, no random name in the file
    try:
        made = _document(frame_scene.parts(build))
        made.header["$PROJECTNAME"] = build.version
        for kind in sorted(made.entitydb.dxf_types_in_use()):
            made.classes.add_class(kind)  # ezdxf would add them in the order of a set
        out = io.StringIO()
        made.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = fixed
    return out.getvalue()


def _document(parts: tuple[Part, ...]) -> Drawing:
    made = new("R2010", units=units.MM)
    made.header["$MEASUREMENT"] = 1
    for name, layer in LAYERS.items():
        linetype = "CONTINUOUS"
        if layer.dash:
            linetype = f"{name.upper()}_DASH"
            signed = [d if k % 2 == 0 else -d for k, d in enumerate(layer.dash)]
            made.linetypes.add(linetype, [sum(layer.dash), *signed])
        weight = min(_WEIGHTS, key=lambda w: abs(w - 100 * layer.thickness))
        made.layers.add(name.upper(), color=layer.colour, linetype=linetype, lineweight=weight)
    _dimension_style(made)
    space = made.modelspace()
    for part in parts:
        _add(space, part)
    left, bottom, right, top = flat.room(flat.drawn_out(parts))
    made.header["$EXTMIN"], made.header["$EXTMAX"] = (left, bottom, 0.0), (right, top, 0.0)
    return made


def _dimension_style(made: Drawing) -> None:
    style = made.dimstyles.duplicate_entry("STANDARD", _STYLE)
    style.dxf.dimtxt = flat.HEIGHT
    style.dxf.dimasz = flat.ARROW
    style.dxf.dimexo, style.dxf.dimexe = flat.GAP, flat.PAST
    style.dxf.dimdec, style.dxf.dimadec = 1, 1
    style.dxf.dimtad, style.dxf.dimgap = 1, 1.2  # the number above the line
    style.dxf.dimtih = style.dxf.dimtoh = 0  # and turned with it
    style.set_arrows(blk="OPEN30")


def _add(space: Any, part: Part) -> None:
    if isinstance(part, Gap):
        _add_gap(space, part)
    elif isinstance(part, Angle):
        _add_angle(space, part)
    elif isinstance(part, Words):
        on = {"layer": part.layer.upper()}
        text = space.add_text(
            part.text, height=part.height, rotation=part.turned_deg, dxfattribs=on
        )
        text.set_placement(part.at, align=_ALIGN[part.anchor])
    else:
        _add_stroke(space, part)


def _add_stroke(space: Any, part: Stroke | Path | Arc) -> None:
    on = {"layer": part.layer.upper()}
    if isinstance(part, Stroke):
        space.add_line(part.start, part.end, dxfattribs=on)
    elif isinstance(part, Path):
        space.add_lwpolyline(part.points, close=part.closed, dxfattribs=on)
    elif part.end_deg - part.start_deg >= 360:
        space.add_circle(part.centre, part.radius, dxfattribs=on)
    else:
        space.add_arc(part.centre, part.radius, part.start_deg, part.end_deg, dxfattribs=on)


def _add_gap(space: Any, gap: Gap) -> None:
    look = {"dimstyle": _STYLE, "dxfattribs": {"layer": "DIMENSION"}}
    base, _ = gap.line
    made = space.add_linear_dim(base, gap.start, gap.end, angle=gap.way_deg, **look)
    made.render()


def _add_angle(space: Any, angle: Angle) -> None:
    def way(turn: float) -> tuple[float, float]:
        x, y = angle.centre
        return x + angle.radius * cos(radians(turn)), y + angle.radius * sin(radians(turn))

    middle = way((angle.start_deg + angle.end_deg) / 2)
    legs = way(angle.start_deg), way(angle.end_deg)
    look = {"dimstyle": _STYLE, "dxfattribs": {"layer": "DIMENSION"}}
    space.add_angular_dim_3p(middle, angle.centre, *legs, **look).render()
