"""Distance between a valve and one obstacle from the OpenCascade solid kernel, through `cadquery-ocp`.

Leaves out: what the gap means once the solids interpenetrate (the kernel says 0); see `gap_by_sampling.py`.

Only the faces that can be nearest are given to the kernel: for the valve the face disc, margin, seat cone and stem; for the block the
wall, chamfer and deck out to 80 mm beyond the bore and 120 mm down; for a plate its two faces and the wall of the opening.
"""

import math

from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Ax2, gp_Ax3, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Compound

BLOCK_REACH_MM = 80.0
BLOCK_DEPTH_MM = 120.0
PLATE_REACH_MM = 250.0
STEM_LENGTH_MM = 150.0


def compound(shapes):
    made, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(made)
    for s in shapes:
        builder.Add(made, s)
    return made


def revolved(profile):
    """Faces swept by the segments of a profile [(radius, z), ...] about the z axis."""
    axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    faces = []
    for (r0, z0), (r1, z1) in zip(profile[:-1], profile[1:]):
        edge = BRepBuilderAPI_MakeEdge(gp_Pnt(r0, 0, z0), gp_Pnt(r1, 0, z1)).Edge()
        faces.append(BRepPrimAPI_MakeRevol(edge, axis).Shape())
    return compound(faces)


def valve_skin(valve):
    rv, m, rs = valve["rv"], valve["m"], valve["rs"]
    top = m + (rv - rs) * math.tan(math.radians(valve["seat"]))
    return revolved([(0, 0), (rv, 0), (rv, m), (rs, top), (rs, STEM_LENGTH_MM)])


def block_skin(block):
    r, w, d = block["R"], block["w"], block["d"]
    profile = [(r, -BLOCK_DEPTH_MM), (r, -d)]
    if w > 0.0:
        profile.append((r + w, 0.0))
    return revolved(profile + [(r + BLOCK_REACH_MM, 0.0)])


def outline_wire(outline, z):
    """The outline at height z, run clockwise seen from above, as the hole of a face that looks up."""
    if "circle" in outline:
        cx, cy, r = outline["circle"]
        circle = gp_Circ(gp_Ax2(gp_Pnt(cx, cy, z), gp_Dir(0, 0, -1)), r)
        return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle).Edge()).Wire()
    polygon = BRepBuilderAPI_MakePolygon()
    points = outline["polygon"]
    if sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, points[1:] + points[:1])) > 0.0:
        points = points[::-1]
    for x, y in points:
        polygon.Add(gp_Pnt(x, y, z))
    polygon.Close()
    return polygon.Wire()


def plate_skin(plate):
    z0, z1 = plate["z0"], plate["z1"]
    faces = [BRepPrimAPI_MakePrism(outline_wire(plate["outline"], z0), gp_Vec(0, 0, z1 - z0)).Shape()]
    for z in (z0, z1):
        outer = BRepBuilderAPI_MakePolygon()
        for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
            outer.Add(gp_Pnt(x * PLATE_REACH_MM, y * PLATE_REACH_MM, z))
        outer.Close()
        face = BRepBuilderAPI_MakeFace(outer.Wire())
        face.Add(outline_wire(plate["outline"], z))
        faces.append(face.Face())
    return compound(faces)


class KernelPair:
    """The two skins of one case; the valve is placed by a location, so nothing is rebuilt between lifts."""

    def __init__(self, case):
        self.valve = case["valve"]
        self.valve_skin = valve_skin(self.valve)
        self.obstacle_skin = block_skin(case["block"]) if "block" in case else plate_skin(case["plate"])

    def placed_valve(self, lift):
        v = self.valve
        a = (math.tan(math.radians(v["tilt_x"])), math.tan(math.radians(v["tilt_y"])), 1.0)
        n = math.sqrt(sum(c * c for c in a))
        a = [c / n for c in a]
        at = gp_Pnt(v["x"] - lift * a[0], v["y"] - lift * a[1], v["z_seated"] - lift * a[2])
        move = gp_Trsf()
        move.SetTransformation(gp_Ax3(at, gp_Dir(*a)), gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)))
        return self.valve_skin.Moved(TopLoc_Location(move))

    def distance(self, lift):
        """Kernel distance of the two skins; 0 when they cross."""
        return skin_distance(self.obstacle_skin, self.placed_valve(lift))

    def point_depth(self, point, lift, on_valve):
        """Kernel distance from a point to the skin of the other body."""
        vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*point)).Vertex()
        return skin_distance(vertex, self.obstacle_skin if on_valve else self.placed_valve(lift))


def skin_distance(one, other):
    query = BRepExtrema_DistShapeShape(one, other)
    if not query.IsDone():
        raise RuntimeError("the kernel found no distance")
    return query.Value()
