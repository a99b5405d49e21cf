"""The removed metal as a solid of the OpenCascade kernel: boolean common of cutter and block, or of cutter and piston; and its extents."""

import math

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire, BRepBuilderAPI_Transform
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
from OCP.BRepTools import BRepTools
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.GC import GC_MakeArcOfCircle
from OCP.GProp import GProp_GProps
from OCP.gp import gp_Ax1, gp_Ax3, gp_Dir, gp_Pnt, gp_Pnt2d, gp_Trsf
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_IN
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from scipy.optimize import minimize, minimize_scalar

from invented_cuts import axis_of

UP_MM = 90.0  # how far the cutter is drawn up its axis; the README says it has no end
OUT_MM = 130.0
DOWN_MM = 80.0
ON_SURFACE_MM = 1e-4


def revolved(points, turn=0.0):
    """Solid of revolution about z from a closed profile of (radius, height) points; a triple of points (a, via, b) is an arc."""
    wire = BRepBuilderAPI_MakeWire()
    corner = lambda p: gp_Pnt(p[0], 0.0, p[1])
    for a, b in zip(points, points[1:] + points[:1]):
        a_end = a[-1] if isinstance(a[0], tuple) else a
        b_start = b[0] if isinstance(b[0], tuple) else b
        if isinstance(a[0], tuple):
            wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(*[corner(p) for p in a]).Value()).Edge())
        if math.dist(a_end, b_start) > 1e-12:
            wire.Add(BRepBuilderAPI_MakeEdge(corner(a_end), corner(b_start)).Edge())
    face = BRepBuilderAPI_MakeFace(wire.Wire()).Face()
    solid = BRepPrimAPI_MakeRevol(face, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))).Shape()
    if turn:
        move = gp_Trsf()
        move.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), turn)
        solid = BRepBuilderAPI_Transform(solid, move, True).Shape()
    return solid


def cutter_solid(cutter):
    r, q, lay = cutter["radius"], cutter["corner"], math.radians(cutter["layback"])
    top = [(r + UP_MM * math.tan(lay), UP_MM), (0.0, UP_MM)]
    if q > 0.0:
        t = q * math.tan((math.pi / 2 - lay) / 2)
        mid = (math.pi / 2 - lay) / 2 + lay  # half way between the normals of floor and wall, from the horizontal
        arc = ((r - t, 0.0), (r - t + q * math.cos(mid), q - q * math.sin(mid)), (r + t * math.sin(lay), t * math.cos(lay)))
        points = [(0.0, 0.0), arc] + top
    else:
        points = [(0.0, 0.0), (r, 0.0)] + top
    solid = revolved(points)
    a = axis_of(cutter)
    move = gp_Trsf()
    move.SetTransformation(gp_Ax3(gp_Pnt(cutter["x"], cutter["y"], cutter["z"]), gp_Dir(*a)), gp_Ax3())
    return BRepBuilderAPI_Transform(solid, move, True).Shape()


def metal_solid(case):
    m, c = case["metal"], case["cutter"]
    away = math.atan2(c["y"], c["x"]) + math.pi  # seams on the far side of the bore
    if case["kind"] == "crown":
        return revolved([(0.0, -DOWN_MM), (m["R"], -DOWN_MM), (m["R"], 0.0), (0.0, 0.0)], away)
    profile = [(m["R"], -DOWN_MM), (m["R"] + OUT_MM, -DOWN_MM), (m["R"] + OUT_MM, 0.0), (m["R"] + m["w"], 0.0)]
    if m["w"] > 0.0:
        profile.append((m["R"], -m["d"]))
    return revolved(profile, away)


def explore(shape, kind):
    found, walk = [], TopExp_Explorer(shape, kind)
    while walk.More():
        found.append(walk.Current())
        walk.Next()
    return found


def xyz(p):
    return np.array([p.X(), p.Y(), p.Z()])


def curve_of(edge):
    if BRep_Tool.Degenerated_s(edge):
        return None
    curve = BRepAdaptor_Curve(edge)
    return (lambda t: xyz(curve.Value(t))), curve.FirstParameter(), curve.LastParameter()


def greatest_on_edge(edge, value):
    """Greatest value(point) on an edge: dense samples, then bounded Brent around the best three."""
    curve = curve_of(edge)
    if curve is None:
        return -math.inf
    at, lo, hi = curve
    ts = np.linspace(lo, hi, 400)
    vs = np.array([value(at(t)) for t in ts])
    best = vs.max()
    for i in np.argsort(vs)[-3:]:
        a, b = ts[max(i - 1, 0)], ts[min(i + 1, len(ts) - 1)]
        best = max(best, -minimize_scalar(lambda t: -value(at(t)), bounds=(a, b), method="bounded", options={"xatol": 1e-13 * max(1.0, abs(hi - lo)) + 1e-12}).fun)
    return best


def greatest_on_face(face, value):
    """Greatest value(point) inside a face: a grid of its parameters, then Nelder-Mead from the best, never leaving the face."""
    surface = BRepAdaptor_Surface(face)
    inside = BRepClass_FaceClassifier()
    u0, u1, v0, v1 = BRepTools.UVBounds_s(face)

    def cost(uv):
        inside.Perform(face, gp_Pnt2d(uv[0], uv[1]), 1e-9)
        if inside.State() != TopAbs_IN:
            return 1e9
        return -value(xyz(surface.Value(uv[0], uv[1])))

    n = 41
    grid = [(cost((u, v)), u, v) for u in np.linspace(u0, u1, n) for v in np.linspace(v0, v1, n)]
    best, u, v = min(grid)
    if best > 1e8:
        return -math.inf
    du, dv = (u1 - u0) / n, (v1 - v0) / n
    simplex = np.array([[u, v], [u + du / 2, v], [u, v + dv / 2]])
    return -min(best, minimize(cost, [u, v], method="Nelder-Mead", options={"initial_simplex": simplex, "xatol": 1e-11, "fatol": 1e-12, "maxiter": 2000}).fun)


def measure(case):
    """Volume and extents of the removed metal; None when nothing is removed or the kernel fails."""
    op = BRepAlgoAPI_Common(cutter_solid(case["cutter"]), metal_solid(case))
    solid = op.Shape()
    faces, edges = explore(solid, TopAbs_FACE), explore(solid, TopAbs_EDGE)
    if not faces or not BRepCheck_Analyzer(solid).IsValid():
        return None
    faces = [TopoDS.Face(f) for f in faces]
    edges = [TopoDS.Edge(e) for e in edges]
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, props, 1e-7, False, False)
    greatest = lambda value: max([greatest_on_edge(e, value) for e in edges] + [greatest_on_face(f, value) for f in faces])
    out = {
        "volume": props.Mass(),
        "lowest": -greatest(lambda p: -p[2]),
        "reach": greatest(lambda p: math.hypot(p[0], p[1])),
    }
    top_area, top_reach, on_wall = 0.0, -math.inf, []
    m = case["metal"]
    border = lambda z: m["R"] + (m["w"] * max(0.0, 1.0 + z / m["d"]) if m["d"] > 0.0 else 0.0)
    for face in faces:
        own_edges = [TopoDS.Edge(e) for e in explore(face, TopAbs_EDGE)]
        samples = np.array([c[0](t) for c in map(curve_of, own_edges) if c for t in np.linspace(c[1], c[2], 25)])
        if np.abs(samples[:, 2]).max() < ON_SURFACE_MM:
            props = GProp_GProps()
            BRepGProp.SurfaceProperties_s(face, props, 1e-7, False)
            top_area += props.Mass()
            top_reach = max([top_reach] + [greatest_on_edge(e, lambda p: math.hypot(p[0], p[1])) for e in own_edges])
        elif case["kind"] != "crown":
            surface = BRepAdaptor_Surface(face)
            u0, u1, v0, v1 = BRepTools.UVBounds_s(face)
            middle = xyz(surface.Value((u0 + u1) / 2, (v0 + v1) / 2))
            points = np.vstack([samples, middle])
            if max(abs(math.hypot(p[0], p[1]) - border(p[2])) for p in points) < ON_SURFACE_MM:
                on_wall += own_edges
    out["top_area"] = top_area
    out["top_reach"] = top_reach if top_area > 0.0 else None
    if on_wall:
        toward = math.atan2(case["cutter"]["y"], case["cutter"]["x"])
        turn = lambda p: math.remainder(math.atan2(p[1], p[0]) - toward, 2 * math.pi)
        ahead = max(greatest_on_edge(e, turn) for e in on_wall)
        behind = -max(greatest_on_edge(e, lambda p: -turn(p)) for e in on_wall)
        out["azimuths"] = [math.degrees(toward + behind), math.degrees(toward + ahead)]
    return out
