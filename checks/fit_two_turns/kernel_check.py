"""The OpenCascade kernel's distances at one pose: valve to piston, valve to valve. Zero where the bodies cross."""

import math

import piston_gap  # noqa: F401  (puts ../fit_valve_gap on the path)
from gap_by_kernel import gp_Ax2, gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf, skin_distance, valve_skin
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
from OCP.TopLoc import TopLoc_Location

REACH_MM = 120.0
DEPTH_MM = 60.0


def axis(body):
    a = (math.tan(math.radians(body["tilt_x"])), math.tan(math.radians(body["tilt_y"])), 1.0)
    n = math.sqrt(sum(c * c for c in a))
    return [c / n for c in a]


def placed(valve, lift, crown=0.0):
    """Valve skin at a lift, lowered by the height of the crown plane."""
    a = axis(valve)
    at = gp_Pnt(valve["x"] - lift * a[0], valve["y"] - lift * a[1], valve["z_seated"] - lift * a[2] - crown)
    move = gp_Trsf()
    move.SetTransformation(gp_Ax3(at, gp_Dir(*a)), gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)))
    return valve_skin(valve).Moved(TopLoc_Location(move))


def piston_body(pocket):
    body = BRepPrimAPI_MakeBox(gp_Pnt(-REACH_MM, -REACH_MM, -DEPTH_MM), gp_Pnt(REACH_MM, REACH_MM, 0.0)).Shape()
    if pocket is None:
        return body
    a = axis(pocket)
    floor = gp_Pnt(pocket["x"], pocket["y"], -pocket["depth"] * a[2])
    cutter = BRepPrimAPI_MakeCylinder(gp_Ax2(floor, gp_Dir(*a)), pocket["r"], 100.0).Shape()
    return BRepAlgoAPI_Cut(body, cutter).Shape()


def kernel_valve_to_piston(valve, lift, crown):
    return skin_distance(piston_body(valve["pocket"]), placed(valve, lift, crown))


def kernel_valve_to_valve(one, lift_one, two, lift_two):
    return skin_distance(placed(one, lift_one), placed(two, lift_two))
