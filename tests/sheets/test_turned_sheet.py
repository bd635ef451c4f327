"""Sheets of turned parts: true scale measured in the finished PDF and in SVG and DXF read back, and what is written.

What is expected is the part's own size: 4 + 6 + 8 = 18 mm long, 10 / cos 30 deg = 11.547 over the corners, and the
scale the sheet states. A millimetre is 72 / 25.4 points of a PDF (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import io
import re
from datetime import date
from functools import cache
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pdfplumber
import pytest
from ezdxf import bbox, recover

from trialfit.job.shop import assumed_shop
from trialfit.making.turned.findings import turned_findings
from trialfit.making.turned.plan import TurnedJob, turned_parts
from trialfit.sheets.compile import pdf
from trialfit.sheets.drawing import Arc, Line
from trialfit.sheets.dxf import dxf
from trialfit.sheets.heading import Paper
from trialfit.sheets.layers import LAYERS
from trialfit.sheets.svg import svg
from trialfit.sheets.turned import drawing_for, turned_sheet
from trialfit.sheets.turned_views import hatch_lines
from turned_jobs import bench, job, plan

POINTS_A_MM = 72.0 / 25.4
GIVEN = date(2026, 3, 14)
SVG = "{http://www.w3.org/2000/svg}"


@cache
def made() -> TurnedJob:
    return turned_parts(job(), assumed_shop())


@cache
def sheet(place: int, paper: Paper = "a4") -> bytes:
    one = made().parts[place]
    own = [finding for finding in made().findings if finding.about == f"turned {one.part.name}"]
    return pdf("turned.typ", turned_sheet(job(), one, own, paper), "rook", job().job.date)


def _silhouettes(made_pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of each heavy open curve of more than 10 corners: the outside of the part."""
    found = []
    with pdfplumber.open(io.BytesIO(made_pdf)) as document:
        for page in document.pages:
            for curve in page.curves:
                xs, ys = ([point[k] / POINTS_A_MM for point in curve["pts"]] for k in (0, 1))
                heavy = float(curve["linewidth"]) / POINTS_A_MM > 0.4
                if heavy and len(xs) == 16 and not curve["fill"]:
                    found.append((max(xs) - min(xs), max(ys) - min(ys)))
    return found


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_tail_is_drawn_at_the_stated_scale_and_at_true_size(paper: Paper) -> None:
    enlarged, true = _silhouettes(sheet(0, paper))
    assert "drawn 5:1" in _text(sheet(0, paper))
    # The upper half, from the axis to a corner of the hexagon: 18 by 11.547 / 2.
    assert enlarged == pytest.approx((90.0, 5.0 * 5.7735), abs=0.01)
    assert true == pytest.approx((18.0, 5.7735), abs=0.01)


def test_the_check_bar_is_100_mm() -> None:
    with pdfplumber.open(io.BytesIO(sheet(0))) as document:
        heavy = [line for page in document.pages for line in page.lines if line["linewidth"] / POINTS_A_MM > 0.4]
    longs = [line["width"] / POINTS_A_MM for line in heavy]
    assert [long for long in longs if abs(long - 100.0) < 2.0] == [pytest.approx(100.0, abs=0.005)]


@cache
def _text(made_pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(made_pdf)) as document:
        return "\n".join(page.extract_text() for page in document.pages)


# Figures by hand in tests/unit/test_turned_figures.py.
WRITTEN = [
    "new tail for the check valve. 2 wanted. CW451K, phosphor bronze. From round bar 12.70 mm (1/2 in) diameter.",
    "21.0 mm",
    "finished 18.00 ± 0.20 mm (k = 2), 45/64 in (-0.141 mm)",
    "of that 8.00 mm is hidden in bush.thread; 10.00 mm shows",
    "with 1.0 mm for facing both ends and 2.0 mm for parting",
    "hexagon 10.00 A/F × 6.00, both edges 0.4 × 45°",
    "groove Ø5.44 × 1.30",
    "1/4x40 × 6.70, core Ø5.54, right edge 0.4 × 45°",
    "Ø4.86 × 3.50 deep, flat",
    "Ø3.97 through, drill 5/32 in",
    "60° cone, mouth Ø4.40",
    "Ø2.00 across, one wall",
    "from left face",
    "from right face",
    "60 deg cone, mouth 4.40 mm: 0.37 mm deep from the face; 0.1 mm deeper is 0.115 mm wider.",
    "turning 12.70 mm 61 m/min 1528 1400",
    "thread 1/4x40 full for 6.70 mm, pitch 0.635 mm, core 5.54 mm",
    "Least wall 0.5 mm is assumed: the job does not say.",
]


@pytest.mark.parametrize("line", WRITTEN)
def test_the_sheet_says(line: str) -> None:
    assert line in _text(sheet(0))


def test_the_sheet_carries_cautions_and_says_what_is_assumed() -> None:
    text = _text(sheet(0))
    assert "CAUTIONS" in text
    assert "Water and steam under pressure scald and burst." in text
    assert "chuck key out before the motor starts" in re.sub(r"\s+", " ", text)
    assert "The shop file does not say, so a usual small workshop's are assumed" in re.sub(r"\s+", " ", text)


def test_a_finding_that_stops_stands_at_the_top() -> None:
    stopped = plan(outside=[{"thread": "1/4x40", "long": "8 mm"}], from_left=[{"bore": "5.6 mm", "through": True}])
    record = turned_sheet(job(), stopped, turned_findings(stopped, bench()))
    assert record["findings"][0]["answer"] == "stop"
    assert "Change bore from 5.60 mm to at most 4.53 mm" in record["findings"][0]["do"]


# ---- SVG


def test_svg_is_as_wide_as_its_paper_says_and_carries_its_layers() -> None:
    drawn = drawing_for(made().parts[0], "a4")
    root = ElementTree.fromstring(svg(drawn.layered, "tail <1>"))
    assert root.find(f"{SVG}title").text == "tail <1>"  # type: ignore[union-attr]
    wide, tall = (float(root.attrib[key].removesuffix("mm")) for key in ("width", "height"))
    assert root.attrib["viewBox"] == f"0 0 {root.attrib['width'][:-2]} {root.attrib['height'][:-2]}"
    # Half a millimetre of margin round the drawing on the sheet, three round the SVG.
    assert (wide, tall) == pytest.approx((drawn.drawing.width_mm + 5.0, drawn.drawing.height_mm + 5.0), abs=1e-3)
    assert [group.attrib["id"] for group in root.iter(f"{SVG}g") if "id" in group.attrib] == [
        layer for layer in LAYERS if layer != "hidden"
    ]


def test_svg_shows_the_part_at_its_scale() -> None:
    drawn = drawing_for(made().parts[0], "a4")
    root = ElementTree.fromstring(svg(drawn.layered, "tail"))
    (outline,) = [group for group in root.iter(f"{SVG}g") if group.attrib.get("id") == "outline"]
    numbers = [
        (float(x), float(y)) for path in outline for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.attrib["d"])
    ]
    xs, ys = zip(*numbers, strict=True)
    assert max(xs) - min(xs) == pytest.approx(90.0, abs=1e-3)
    assert max(ys) - min(ys) == pytest.approx(57.735, abs=1e-3)


# ---- DXF


@cache
def _read_back(place: int) -> Any:
    drawn = drawing_for(made().parts[place], "a4")
    document, auditor = recover.read(io.BytesIO(dxf(drawn.layered, drawn.scale, "tail", GIVEN).encode()))
    assert not auditor.has_errors
    assert not auditor.has_fixes
    return document


def test_the_same_drawing_gives_the_same_dxf_whenever_it_is_written() -> None:
    drawn = [drawing_for(each, "a4") for each in made().parts[:2]]
    once, again, other = (dxf(drawn[n].layered, drawn[n].scale, "tail", GIVEN) for n in (0, 0, 1))
    assert once == again
    one, two = (recover.read(io.BytesIO(each.encode()))[0].header for each in (once, other))
    assert one["$FINGERPRINTGUID"] == two["$FINGERPRINTGUID"]
    assert one["$VERSIONGUID"] != two["$VERSIONGUID"]
    # The day that began at midnight of 1 January 2000 has Julian number 2451545. From there 26 years with 7 leap days
    # are 9497 days, to 14 March another 31 + 28 + 13.
    assert set(re.findall(r"\$TDU?(?:CREATE|UPDATE)\n *40\n(.+)\n", once)) == {f"{2451545 + 9497 + 72}.0"}


def test_dxf_passes_its_audit_and_has_a_layer_for_each_kind_of_line() -> None:
    document = _read_back(0)
    assert not document.audit().has_errors
    assert document.header["$INSUNITS"] == ezdxf.units.MM
    names = {layer.upper() for layer in LAYERS}
    assert names <= {layer.dxf.name for layer in document.layers}
    assert document.layers.get("CENTRE").dxf.linetype == "CENTER"
    assert document.layers.get("HIDDEN").dxf.linetype == "DASHED"
    assert {entity.dxf.layer for entity in document.modelspace()} == names - {"HIDDEN"}


def test_dxf_holds_the_part_at_true_size_with_its_left_face_at_the_origin() -> None:
    space = _read_back(0).modelspace()
    outline = bbox.extents(space.query('*[layer=="OUTLINE"]'))
    assert tuple(outline.extmin) == pytest.approx((0.0, -5.7735, 0.0), abs=1e-4)
    assert tuple(outline.extmax) == pytest.approx((18.0, 5.7735, 0.0), abs=1e-4)
    # Roots of 1/4x40 at 5.5368 / 2 from the axis, above and below, from 11.3 to 18.
    roots = [(line.dxf.start, line.dxf.end) for line in space.query('LINE[layer=="THREAD"]')]
    assert [
        start.isclose((11.3, side * 2.76839), abs_tol=1e-4) for (start, _), side in zip(roots, (1, -1), strict=False)
    ] == [
        True,
        True,
    ]


def test_dxf_writes_signs_by_their_codes() -> None:
    words = [text.dxf.text for text in _read_back(0).modelspace().query("TEXT")]
    assert "groove %%c5.44 x 1.30" in words
    assert "60%%d cone, mouth %%c4.40" in words


def test_a_hole_through_both_walls_is_hidden_above_the_axis() -> None:
    one = plan(
        outside=[{"plain": "10 mm", "long": "20 mm"}],
        from_left=[{"bore": "4 mm", "through": True}],
        cross_holes=[{"hole": "2 mm", "at": "6 mm", "walls": "both"}],
    )
    drawn = drawing_for(one, "a4")
    hidden = [each.item for each in drawn.layered if each.layer == "hidden"]
    # Its sides at 5 and 7, from the bore's height there, sqrt(4 - 1), to the outside at 5.
    ends = sorted(
        (line.start[0] / drawn.scale, line.start[1] / drawn.scale, line.end[1] / drawn.scale)
        for line in hidden
        if isinstance(line, Line)
    )
    assert ends[0] == pytest.approx((5.0, 1.73205, 5.0), abs=1e-4)
    assert ends[1] == pytest.approx((7.0, 1.73205, 5.0), abs=1e-4)


@pytest.mark.parametrize(
    ("turn", "layer"), [("0 deg", None), ("90 deg", "outline"), ("180 deg", "hidden"), ("270 deg", "hidden")]
)
def test_a_hole_through_one_wall_is_drawn_where_it_points(turn: str, layer: str | None) -> None:
    # Down into the cut half; to the front as half a circle of 2 mm on the axis; up, or to the back, hidden.
    one = plan(
        outside=[{"plain": "10 mm", "long": "20 mm"}],
        from_left=[{"bore": "4 mm", "through": True}],
        cross_holes=[{"hole": "2 mm", "at": "6 mm", "walls": "one", "turn": turn}],
    )
    drawn = drawing_for(one, "a4")
    above = {
        each.layer: each.item
        for each in drawn.layered
        if isinstance(each.item, Arc) or (each.layer == "hidden" and isinstance(each.item, Line))
    }
    assert list(above) == ([] if layer is None else [layer])
    if layer is not None and turn != "180 deg":
        arc = above[layer]  # type: ignore[index]
        assert isinstance(arc, Arc)
        assert arc.radius_mm == pytest.approx(1.0 * drawn.scale)


def test_hatching_covers_its_area_evenly() -> None:
    # A rectangle of 20 x 8 with a square hole of 4: lines at 45 deg, 1 mm apart, have together area / 1 mm of length.
    ring = [
        (0.0, 0.0),
        (20.0, 0.0),
        (20.0, 8.0),
        (0.0, 8.0),
        (0.0, 0.0),
        (8.0, 2.0),
        (8.0, 6.0),
        (12.0, 6.0),
        (12.0, 2.0),
    ]
    lines = hatch_lines([*ring, (8.0, 2.0)], 1.0)
    long = sum(((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 for a, b in ((line.start, line.end) for line in lines))
    assert long == pytest.approx(160.0 - 16.0, rel=0.03)
    assert all((line.end[1] - line.start[1]) == pytest.approx(line.end[0] - line.start[0]) for line in lines)
    # White where a gap is asked for.
    gapped = hatch_lines(ring, 1.0, [(5.0, 7.0)])
    assert not [line for line in gapped if line.start[0] < 6.9 and line.end[0] > 5.1 and line.start[0] > 5.05]
