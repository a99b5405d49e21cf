// A cut through the bore axis and the middle of one valve: u outward along the cut, z up from the deck; pictures have y down.
import { corners, reach, type Point } from './outline';
import type { Cylinder, Hands, ValveScene } from './stand';

// The direction of the cut, from the bore axis to the valve.
export function direction(valve: ValveScene): Point {
  const [x = 0, y = 0] = valve.seated_mm;
  const size = Math.hypot(x, y);
  return size < 0.01 ? [1, 0] : [x / size, y / size];
}

// A point of the bore frame: along the cut, and how far in front of it.
export function inCut([dx, dy]: Point, point: readonly number[]): { u: number; z: number; off: number } {
  const [x = 0, y = 0, z = 0] = point;
  return { u: x * dx + y * dy, z, off: -x * dy + y * dx };
}

// The outside of a valve, its seat and neck as parts of its kind have them, its stem as long as shown.
export function valvePath(valve: ValveScene, diameter: number, face: readonly number[], cut: Point, top: number): string {
  const at = inCut(cut, face);
  const axis = inCut(cut, valve.axis);
  const size = Math.hypot(axis.u, axis.z) || 1;
  const [au, az] = [axis.u / size, axis.z / size];
  const r = diameter / 2;
  const stem = valve.stem_diameter_mm / 2;
  const seat = Math.min(0.09 * diameter, r - stem);
  const rise = valve.margin_mm + seat * Math.tan((valve.seat_angle_deg * Math.PI) / 180);
  const neck = rise + 0.42 * diameter;
  const long = Math.max(neck + 2, top - at.z);
  const point = (across: number, up: number) =>
    `${(at.u + across * az + up * au).toFixed(3)},${(-(at.z - across * au + up * az)).toFixed(3)}`;
  const inner = r - seat;
  return [
    `M${point(-r, 0)}L${point(r, 0)}L${point(r, valve.margin_mm)}L${point(inner, rise)}`,
    `Q${point(stem + 0.12 * (inner - stem), rise + 0.06 * diameter)} ${point(stem, neck)}L${point(stem, long)}`,
    `L${point(-stem, long)}L${point(-stem, neck)}`,
    `Q${point(-stem - 0.12 * (inner - stem), rise + 0.06 * diameter)} ${point(-inner, rise)}`,
    `L${point(-r, valve.margin_mm)}Z`,
  ].join('');
}

// Where gasket and chamber end on both sides of the cut, from the bore axis.
export function edges(cylinder: Cylinder, hands: Hands, cut: Point) {
  const back: Point = [-cut[0], -cut[1]];
  const opening = corners(cylinder.gasket_opening);
  const chamber = corners(cylinder.chamber).map(
    ([x, y]) => [x + hands.shiftFront, y + hands.shiftLeft] as Point,
  );
  return {
    gasket: [-(reach(opening, back) ?? 0), reach(opening, cut) ?? 0] as Point,
    chamber: [-(reach(chamber, back) ?? 0), reach(chamber, cut) ?? 0] as Point,
  };
}

// The crown's outline in the cut, with pockets that it meets; from left to right at the top.
export function crownPath(cylinder: Cylinder, crown: number, cut: Point, bottom: number): string {
  const half = cylinder.bore_diameter_mm / 2 - cylinder.land_clearance_mm;
  const notches = cylinder.pockets
    .map((pocket) => {
      const at = inCut(cut, [pocket.x_mm, pocket.y_mm, 0]);
      const r = pocket.diameter_mm / 2;
      const chord = r * r - at.off * at.off;
      return chord > 0 ? { from: at.u - Math.sqrt(chord), to: at.u + Math.sqrt(chord), deep: pocket.depth_mm } : undefined;
    })
    .filter((notch) => notch !== undefined)
    .map(({ from, to, deep }) => ({ from: Math.max(-half, from), to: Math.min(half, to), deep }))
    .filter(({ from, to }) => from < to)
    .sort((a, b) => a.from - b.from);
  let top = `M${-half},${-bottom}V${-crown}`;
  for (const { from, to, deep } of notches) top += `H${from}V${-(crown - deep)}H${to}V${-crown}`;
  return `${top}H${half}V${-bottom}Z`;
}
