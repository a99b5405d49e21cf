// Outlines of chambers and gasket openings, in millimetres in the bore frame: x to the front, y to the left.
import type { Wire } from '../api/client';

export type Point = [number, number];

// As seen from above with the front at 12 o'clock: x of the picture to the right, y down.
export function above(x: number, y: number): Point {
  return [-y, -x];
}

// Corners of an outline; a circle gets 96.
export function corners(outline: Wire['OutlineWire']): Point[] {
  if (outline.shape === 'circle') {
    const [x = 0, y = 0] = outline.center_mm;
    return Array.from({ length: 96 }, (_, idx) => {
      const turn = (idx / 96) * 2 * Math.PI;
      const r = outline.diameter_mm / 2;
      return [x + r * Math.cos(turn), y + r * Math.sin(turn)] as Point;
    });
  }
  return grown(outline.points_mm as Point[], outline.growth_mm);
}

// A polygon moved outward all round by what the line through its corners lacks.
function grown(points: Point[], by: number): Point[] {
  if (by === 0) return points;
  const area = points.reduce((sum, [x, y], idx) => {
    const [nx, ny] = points[(idx + 1) % points.length] ?? [0, 0];
    return sum + x * ny - nx * y;
  }, 0);
  const out = area > 0 ? by : -by;
  return points.map(([x, y], idx) => {
    const [px, py] = points[(idx + points.length - 1) % points.length] ?? [x, y];
    const [nx, ny] = points[(idx + 1) % points.length] ?? [x, y];
    const size = Math.hypot(nx - px, ny - py) || 1;
    return [x + (out * (ny - py)) / size, y - (out * (nx - px)) / size];
  });
}

export function path(points: Point[]): string {
  return `M${points.map(([x, y]) => above(x, y).map((n) => n.toFixed(3)).join(',')).join('L')}Z`;
}

// How far an outline reaches from the bore axis in a direction, where a section through the axis meets it.
export function reach(points: Point[], [dx, dy]: Point): number | undefined {
  let far: number | undefined;
  points.forEach(([ax, ay], idx) => {
    const [bx, by] = points[(idx + 1) % points.length] ?? [ax, ay];
    const [a, b] = [ax * dy - ay * dx, bx * dy - by * dx];
    if (a === b || a > 0 === b > 0) return;
    const t = a / (a - b);
    const along = (ax + t * (bx - ax)) * dx + (ay + t * (by - ay)) * dy;
    if (along > 0 && (far === undefined || along > far)) far = along;
  });
  return far;
}
