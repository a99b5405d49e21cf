// What is shown of a cylinder as it stands: the scene of its sheet with what is turned by hand laid over it.
import type { Wire } from '../api/client';

export type Cylinder = Wire['SceneWire']['cylinders'][number];
export type ValveScene = Cylinder['valves'][number];
export type Gap = Wire['StandWire']['gaps'][number];

export interface Hands {
  crank: number;
  // Lifts held with checking springs, or null where the cam lifts.
  lifts: Record<string, number> | null;
  intakeAdvance: number;
  exhaustAdvance: number;
  shiftFront: number;
  shiftLeft: number;
  diameters: Record<string, number>;
  gasket: number;
}

export function asUsual(cylinder: Cylinder): Hands {
  const byDuty = (of: (valve: ValveScene) => number) =>
    Object.fromEntries(cylinder.valves.map((valve) => [valve.name, of(valve)]));
  return {
    crank: 470,
    lifts: byDuty((valve) => valve.lift_mm),
    intakeAdvance: 0,
    exhaustAdvance: 0,
    shiftFront: 0,
    shiftLeft: 0,
    diameters: byDuty((valve) => valve.head_diameter_mm),
    gasket: cylinder.gasket_thickness_mm,
  };
}

// Only what was turned away from the sheet is sent.
export function question(
  build: number,
  swap: number | undefined,
  cylinder: Cylinder,
  hands: Hands,
  contacts: boolean,
): Wire['AskedGap'] {
  const changed = cylinder.valves.filter((valve) => hands.diameters[valve.name] !== valve.head_diameter_mm);
  return {
    build,
    swap: swap ?? null,
    cylinder: cylinder.number,
    crank_deg: hands.crank,
    lifts: hands.lifts
      ? cylinder.valves.map((valve) => ({ valve: valve.name, mm: hands.lifts?.[valve.name] ?? 0 }))
      : [],
    intake_advance_deg: hands.intakeAdvance,
    exhaust_advance_deg: hands.exhaustAdvance,
    head_shift_mm: [hands.shiftFront, hands.shiftLeft],
    diameters: changed.map((valve) => ({ valve: valve.name, mm: hands.diameters[valve.name] ?? 0 })),
    gasket_mm: hands.gasket === cylinder.gasket_thickness_mm ? null : hands.gasket,
    first_contacts: contacts,
  };
}

// Of the dye map: crank and held lifts have no say in it.
export function dyeQuestion(
  build: number,
  swap: number | undefined,
  cylinder: Cylinder,
  hands: Hands,
  units: Wire['Units'],
): Wire['AskedDye'] {
  const asked = question(build, swap, cylinder, hands, false);
  return {
    build,
    swap: swap ?? null,
    cylinder: cylinder.number,
    intake_advance_deg: hands.lifts ? 0 : hands.intakeAdvance,
    exhaust_advance_deg: hands.lifts ? 0 : hands.exhaustAdvance,
    head_shift_mm: [hands.shiftFront, hands.shiftLeft],
    diameters: asked.diameters ?? [],
    gasket_mm: asked.gasket_mm ?? null,
    units,
  };
}

// Whether something is turned away from the sheet that the dye map follows.
export function isTurned(asked: Wire['AskedDye']): boolean {
  const moved = [asked.intake_advance_deg, asked.exhaust_advance_deg, ...(asked.head_shift_mm ?? [])].some((by) => by !== 0);
  return moved || (asked.diameters?.length ?? 0) > 0 || asked.gasket_mm != null;
}

// Worst first: by how little is left over the limit.
export function worstFirst(gaps: readonly Gap[]): Gap[] {
  return [...gaps].sort((a, b) => a.gap_mm - a.limit_mm - (b.gap_mm - b.limit_mm));
}
