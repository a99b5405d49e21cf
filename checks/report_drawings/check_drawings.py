"""Reads back the drawings that `crates/report` writes, with other people's programs. See README.md.

    python check_drawings.py FOLDER        FOLDER as written by the example `write_drawings`, with report-a4.pdf and
                                           report-letter.pdf of `headroom report` on a demo; exits 1 when anything is off
"""

import json
import math
import pathlib
import re
import sys

import ezdxf
import numpy as np
import pikepdf
import pypdfium2
import trimesh
from ezdxf import path as dxf_path

MM_PER_IN = 25.4
DPI = 300
PAPER_TRUE_MM = 0.2  # asked of the printed template
DRAWN_TRUE_MM = 0.002  # distances in the DXF
AREA_TRUE = 1e-3
VOLUME_TRUE = 1e-3
LAYERS = {"BORE", "CUT", "CENTERS", "DIMENSIONS", "TEXT"}
GASKET_OPENING_MM = 92.0  # demos/heron-with-bittern-head.swap.toml
FULL_SIZE = "Full size. Print at 100 %"
CAUTION = "Sonic-check before boring or notching"

wrong = []


def check(name, what, found, expected, tolerance):
    off = abs(found - expected)
    print(f"  {name:22s} {what:34s} {found:12.4f}  expected {expected:12.4f}  off {off:.5f}")
    if not off <= tolerance:
        wrong.append(f"{name}: {what} {found}, expected {expected} within {tolerance}")


def require(name, what, holds):
    print(f"  {name:22s} {what:34s} {'yes' if holds else 'NO'}")
    if not holds:
        wrong.append(f"{name}: not {what}")


def check_dxf(folder, case):
    name = case["name"] + ".dxf"
    doc = ezdxf.readfile(folder / name)
    audit = doc.audit()
    require(name, "audit without errors", not audit.has_errors)
    require(name, "unit millimetre", doc.header["$INSUNITS"] == 4)
    used = {entity.dxf.layer for entity in doc.modelspace()}
    require(name, "layers named", LAYERS <= used and all(layer in doc.layers for layer in used))
    space = doc.modelspace()
    bore = space.query('CIRCLE[layer=="BORE"]').first
    check(name, "bore radius, mm", bore.dxf.radius, case["bore_radius_mm"], 1e-6)
    check(name, "bore centre from origin, mm", math.hypot(*bore.dxf.center.vec2), 0.0, 1e-9)
    cut = [entity for entity in space.query('LWPOLYLINE CIRCLE[layer=="CUT"]')]
    area = sum(enclosed(entity) for entity in cut)
    check(name, "area of the cut, mm2", area, case["outline_area_mm2"], AREA_TRUE * case["outline_area_mm2"])
    points = [p for entity in cut for p in dxf_path.make_path(entity).flattening(1e-4, segments=64)]
    farthest = max(math.hypot(p.x, p.y) for p in points)
    check(name, "farthest from the bore, mm", farthest, math.hypot(*case["farthest_mm"]), DRAWN_TRUE_MM)


def enclosed(entity):
    """Area of a circle, or of a closed polyline with bulges, which turns by 4 atan(bulge) on each arc."""
    if entity.dxftype() == "CIRCLE":
        return math.pi * entity.dxf.radius**2
    corners = [np.array([x, y, bulge]) for x, y, bulge in entity.get_points("xyb")]
    area = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, corners[1:] + corners[:1]):
        area += 0.5 * (x0 * y1 - x1 * y0)
        if bulge != 0.0:
            turn = 4.0 * math.atan(bulge)
            radius = math.hypot(x1 - x0, y1 - y0) / (2.0 * abs(math.sin(turn / 2.0)))
            area += 0.5 * radius**2 * (turn - math.sin(turn))
    return area


def check_stl(folder, case):
    name = case["name"] + ".stl"
    mesh = trimesh.load_mesh(folder / name)
    require(name, "watertight", mesh.is_watertight)
    require(name, "facing outward", mesh.is_winding_consistent and mesh.volume > 0.0)
    check(name, "volume, mm3", mesh.volume, case["volume_mm3"], VOLUME_TRUE * case["volume_mm3"])


def dark_runs(row):
    """Start and end (exclusive) of runs of dark pixels."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(int), [0]])))
    return edges.reshape(-1, 2)


def check_pdf(folder, file, paper, case):
    name = file + ".pdf"
    document = pypdfium2.PdfDocument(folder / name)
    page = document[0]
    width, height = (side * MM_PER_IN / 72 for side in page.get_size())
    check(name, "paper width, mm", width, paper["size_mm"][0], 0.01)
    check(name, "paper height, mm", height, paper["size_mm"][1], 0.01)
    text = page.get_textpage().get_text_bounded()
    require(name, "cautions printed", CAUTION in " ".join(text.split()))
    image = np.asarray(page.render(scale=DPI / 72).to_pil().convert("RGB")).astype(float)
    scale = [image.shape[1] / width, image.shape[0] / height]  # pixels a mm
    dark = image.sum(axis=2) < 3 * 150
    x0, y0 = paper["origin_mm"]
    check_bars(name, dark, scale)
    # Bore: on rays from its centre the middle of the black line nearest to its radius.
    black = (image.max(axis=2) < 130) & (image.max(axis=2) - image.min(axis=2) < 30)
    red = (image[:, :, 0] - image[:, :, 1] > 80) & (image[:, :, 0] - image[:, :, 2] > 80)
    radii = circle_radii(black, [x0, y0], scale, height, case["bore_radius_mm"])
    require(name, "bore circle seen all round", len(radii) > 180)
    fitted = fit_circle(radii)
    check(name, "bore radius on paper, mm", fitted[2], case["bore_radius_mm"], PAPER_TRUE_MM)
    check(name, "bore centre on paper, mm", math.hypot(fitted[0], fitted[1]), 0.0, PAPER_TRUE_MM)
    # Cut: the farthest red point, less half the width of the line.
    rows, columns = np.nonzero(red)
    x, y = columns + 0.5, rows + 0.5
    from_center = np.hypot(x / scale[0] - x0, (height - y / scale[1]) - y0)
    check(name, "cut's reach on paper, mm", from_center.max() - 0.25, math.hypot(*case["farthest_mm"]), PAPER_TRUE_MM)


def check_bars(name, dark, scale):
    """Bars: the two longest level lines below the drawing and above the words, black all along."""
    bars = []
    for row in range(dark.shape[0]):
        for start, end in dark_runs(dark[row]):
            length = (end - start) / scale[0]
            if 95.0 < length < 110.0:
                bars.append(length)
    for expected in (100.0, 4 * MM_PER_IN):
        nearest = min(bars, key=lambda length: abs(length - expected), default=math.nan)
        # The ends of a line are round: half its width beyond on either side.
        check(name, f"bar of {expected:.1f} mm, mm", nearest - 0.25, expected, PAPER_TRUE_MM)


def circle_radii(black, origin, scale, height, radius):
    """(angle, radius) where a ray from the centre crosses a thin black line within 0.45 mm of the radius."""
    found = []
    for angle in np.radians(np.arange(0.0, 360.0, 1.0)):
        r = np.arange(radius - 0.45, radius + 0.45, 0.02)
        x, y = origin[0] + r * math.cos(angle), origin[1] + r * math.sin(angle)
        columns, rows = (x * scale[0]).astype(int), ((height - y) * scale[1]).astype(int)
        runs = dark_runs(black[rows, columns])
        if len(runs) == 1 and (runs[0][1] - runs[0][0]) * 0.02 < 0.6:
            found.append((angle, r[0] + 0.02 * 0.5 * (runs[0][0] + runs[0][1] - 1)))
    return np.array(found)


def fit_circle(radii):
    """Least squares: centre offset and radius from r(angle) = R + cx cos + cy sin."""
    angle, r = radii[:, 0], radii[:, 1]
    a = np.column_stack([np.cos(angle), np.sin(angle), np.ones_like(angle)])
    return np.linalg.lstsq(a, r, rcond=None)[0]


def check_syntax(folder, name):
    """qpdf's own check of a PDF, as pikepdf carries it: cross-reference table, streams, structure."""
    with pikepdf.open(folder / name) as document:
        problems = document.check_pdf_syntax()
    require(name, f"sound PDF by qpdf {pikepdf.__libqpdf_version__}: {problems}", not problems)


def check_report(folder, paper, size_mm):
    """The report of the Heron with the Bittern head: its words can be searched, its pages of drawings are true."""
    name = f"report-{paper}.pdf"
    check_syntax(folder, name)
    document = pypdfium2.PdfDocument(folder / name)
    texts = [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    for words in ("It does not clear", "What each change brings to torque", "Measure next", "Assumed, because nobody gave it", "input blake3", CAUTION):
        require(name, f'words "{words}"', any(words in text for text in texts))
    drawings = [page for page, text in zip(document, texts) if FULL_SIZE in text]
    require(name, "a page for each of two cuts", len(drawings) == 2)
    for page in document:
        width, height = (side * MM_PER_IN / 72 for side in page.get_size())
        if abs(width - size_mm[0]) > 0.01 or abs(height - size_mm[1]) > 0.01:
            require(name, f"all pages {size_mm}, not {width:.2f} by {height:.2f}", False)
    for page in drawings:
        image = np.asarray(page.render(scale=DPI / 72).to_pil().convert("RGB")).astype(float)
        scale = [image.shape[1] / size_mm[0], image.shape[0] / size_mm[1]]
        check_bars(name, image.sum(axis=2) < 3 * 150, scale)
        # The gasket's opening, dashed blue: an ellipse through its points has the same half axis either way.
        rows, columns = np.nonzero((image[:, :, 2] - image[:, :, 0] > 80))
        x, y = (columns + 0.5) / scale[0], (rows + 0.5) / scale[1]
        x, y = x - x.mean(), y - y.mean()
        a, b, c, d = np.linalg.lstsq(np.column_stack([x**2, y**2, x, y]), np.ones_like(x), rcond=None)[0]
        whole = 1 + c**2 / (4 * a) + d**2 / (4 * b)
        check(name, "gasket opening across, mm", 2 * math.sqrt(whole / a), GASKET_OPENING_MM, PAPER_TRUE_MM)
        check(name, "gasket opening along, mm", 2 * math.sqrt(whole / b), GASKET_OPENING_MM, PAPER_TRUE_MM)


def check_svg(folder, file, paper):
    name = file + ".svg"
    text = (folder / name).read_text()
    size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"', text)
    require(name, "user unit a millimetre", bool(size) and size[1] == size[3] and size[2] == size[4])
    check(name, "paper width, mm", float(size[1]), paper["size_mm"][0], 1e-6)
    require(name, "cautions printed", CAUTION in text)


def main():
    folder = pathlib.Path(sys.argv[1])
    for case in json.loads((folder / "expected.json").read_text()):
        check_dxf(folder, case)
        check_stl(folder, case)
        for file, paper in case["papers"].items():
            check_pdf(folder, file, paper, case)
            check_svg(folder, file, paper)
    for paper, size_mm in (("a4", [210.0, 297.0]), ("letter", [8.5 * MM_PER_IN, 11 * MM_PER_IN])):
        check_report(folder, paper, size_mm)
    print(f"{len(wrong)} wrong")
    for line in wrong:
        print("  " + line)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
