// The dye map in drawings: places around the bore to places of a picture, and where a cut through the axis meets an area.
import type { Wire } from '../api/client';
import { length } from './numbers';
import { above, type Point } from './outline';

export type Dye = Wire['DyeDrawn'];
export type Surface = Wire['DyeSurfaceWire'];
export type Band = Wire['DyeBand'];
export type Spot = Wire['DyeSpotWire'];
// Degrees around the bore from the front to the left, and millimetres along.
export type Place = readonly number[];

export const BANDS: readonly Band[] = ['hits', 'tight', 'near', 'far'];

export function bandWords(band: Band, dye: Dye): string {
  switch (band) {
    case 'hits':
      return 'Hits: the parts run into each other';
    case 'tight':
      return 'Tight: clears, but under its limit';
    case 'near':
      return `Up to ${length(dye.near_over_limit_mm)} over its limit`;
    case 'far':
      return `Up to ${length(dye.far_over_limit_mm)} over its limit`;
  }
}

const round = (value: number) => value.toFixed(2);

// Deck and crown from above, the front of the engine at 12 o'clock.
export function fromAbove([degrees = 0, along = 0]: Place): Point {
  const turn = (degrees * Math.PI) / 180;
  return above(along * Math.cos(turn), along * Math.sin(turn));
}

// Depths of the unrolled wall are drawn so many times as large as its way around: a strip of a few millimetres is not read.
export const DEEPER = 2;

// The wall unrolled, seen from inside, clockwise to the right from its seam; y down from the deck.
export function unrolled(radius: number, seam: number): (place: Place) => Point {
  const whole = 2 * Math.PI * radius;
  return ([degrees = 0, along = 0]) => {
    const turn = degrees - seam;
    // A surface runs once around from its seam; a single place may be given a turn farther on.
    const share = turn >= 0 && turn <= 360 ? turn : ((turn % 360) + 360) % 360;
    return [whole * (1 - share / 360), -along * DEEPER];
  };
}

// The azimuth of an hour on a clock over the bore, in degrees.
export function azimuth(hour: number): number {
  return -30 * hour;
}

export function areaPath(loops: readonly (readonly Place[])[], place: (of: Place) => Point): string {
  return loops.map((loop) => `M${loop.map((of) => place(of).map(round).join(',')).join('L')}Z`).join('');
}

export function linePath(places: readonly Place[], place: (of: Place) => Point): string {
  return `M${places.map((of) => place(of).map(round).join(',')).join('L')}`;
}

export function surfaceOf(dye: Dye | undefined, surface: Surface['surface']): Surface | undefined {
  return dye?.surfaces.find((known) => known.surface === surface);
}

// From where to where along a cut at this azimuth goes through each area; the widest area first.
export function along(surface: Surface, degrees: number): { band: Band; from: number; to: number }[] {
  const at = surface.seam_deg + ((((degrees - surface.seam_deg) % 360) + 360) % 360);
  return surface.areas.flatMap(({ band, loops }) => {
    const met: number[] = [];
    for (const loop of loops) {
      loop.forEach(([a = 0, r = 0], idx) => {
        const [b = 0, s = 0] = loop[(idx + 1) % loop.length] ?? [];
        if (a <= at === b <= at) return;
        met.push(r + ((s - r) * (at - a)) / (b - a));
      });
    }
    met.sort((a, b) => a - b);
    const ways = [];
    for (let idx = 0; idx + 1 < met.length; idx += 2) ways.push({ band, from: met[idx] ?? 0, to: met[idx + 1] ?? 0 });
    return ways;
  });
}

// What is said of a map to somebody who does not see it.
export function dyeWords(dye: Dye): string {
  const [worst] = dye.spots;
  return worst ? `Dye map. Worst spot: ${worst.words}` : 'Dye map: no valve comes near.';
}
