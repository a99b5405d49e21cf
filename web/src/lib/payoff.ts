// Units and numbers of a payoff. The server sends newton metres, kilowatts, and gains and chances as shares of one.
import type { Wire } from '../api/client';
import { plain } from './numbers';
import { settings, type System } from './settings.svelte';
import { capital, pathWords } from './words';

export type Of = 'torque' | 'power';
export type Payoff = Wire['PayoffWire'];

// Standard deviations in half of a 90 % interval, and in half of a 95 % one.
export const SDS_IN_90 = 1.6448536;
export const SDS_IN_95 = 1.9599640;

const N_M_PER_LB_FT = 1.3558179483;
const KW_PER_HP = 0.7456998716;

// How much of what the server sends makes one of what is shown.
export function per(of: Of, units: System = settings.units): number {
  if (units === 'metric') return 1;
  return of === 'torque' ? N_M_PER_LB_FT : KW_PER_HP;
}

export function unit(of: Of, units: System = settings.units): string {
  if (units === 'metric') return of === 'torque' ? 'N m' : 'kW';
  return of === 'torque' ? 'lb-ft' : 'hp';
}

// A number with its sign, also of a gain.
export function signed(value: number, digits: number): string {
  const text = plain(value, digits);
  return Number(text.replace('−', '-')) > 0 ? `+${text}` : text;
}

export function signedPercent(share: number): string {
  return `${signed(100 * share, Math.abs(share) < 0.0995 ? 1 : 0)} %`;
}

export function speed(rpm: number): string {
  return plain(10 * Math.round(rpm / 10), 0);
}

// Half of the 90 % interval of the gain.
export function gainHalf90(payoff: Payoff): number {
  return (payoff.gain_half_width * SDS_IN_90) / SDS_IN_95;
}

// A worth as a status with a word of its own: the shape tells it as well as the colour.
export const WORTHS: Record<string, { status: 'clear' | 'tight' | 'hits' | 'unmeasured'; word: string }> = {
  better: { status: 'clear', word: 'better' },
  'perhaps better': { status: 'tight', word: 'perhaps better' },
  'no matter': { status: 'unmeasured', word: 'makes no matter' },
  'perhaps worse': { status: 'tight', word: 'perhaps worse' },
  worse: { status: 'hits', word: 'worse' },
  unknown: { status: 'unmeasured', word: 'cannot be told' },
};

// Readings of a whole table, or of the engine as such, which no single key of a sheet names well.
const NAMES: Record<string, string> = {
  'flow.intake.factor': 'Intake flow as a whole',
  'flow.exhaust.factor': 'Exhaust flow as a whole',
  'burning.factor': 'How fast the charge burns',
  'friction.factor': 'Friction as a whole',
  'walls.factor': 'Heat lost to the walls as a whole',
};

export function readingOfPayoff(path: string): string {
  return NAMES[path] ?? capital(pathWords(path));
}

// Rows as a table that any program reads.
export function table(rows: readonly (string | number | null | undefined)[][]): string {
  const cell = (value: string | number | null | undefined) =>
    typeof value === 'number' ? value.toPrecision(6) : value == null ? '' : `"${value.replaceAll('"', '""')}"`;
  return `${rows.map((row) => row.map(cell).join(',')).join('\n')}\n`;
}
