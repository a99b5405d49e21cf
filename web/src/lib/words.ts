// Names of checks, surfaces and statuses as one says them.
import type { Wire } from '../api/client';

export type StatusKey = Wire['Status'];

export const STATUS_WORDS: Record<StatusKey, string> = {
  clear: 'clear',
  tight: 'tight',
  hits: 'hits',
  unmeasured: 'not measured',
};

export const STATUS_MEANING: Record<StatusKey, string> = {
  clear: 'at or over its limit',
  tight: 'does not touch, but is under its limit',
  hits: 'the parts run into each other',
  unmeasured: 'a reading that this needs is missing',
};

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export function valveName(name: string): string {
  return `${name.replaceAll('_', ' ')} valve`;
}

export function checkName(check: string, valve?: string | null, other?: string | null): string {
  const subject = valve ? valveName(valve) : 'valve';
  switch (check) {
    case 'valve_to_block':
      return `${subject} to block`;
    case 'valve_to_gasket':
      return `${subject} to gasket`;
    case 'valve_to_chamber':
      return `${subject} to chamber wall`;
    case 'gasket_over_bore':
      return 'gasket opening over bore';
    case 'gasket_over_chamber':
      return 'gasket opening over chamber';
    case 'intake_to_piston':
    case 'exhaust_to_piston':
      return `${subject} to piston`;
    case 'pocket_radial':
      return `${subject} to pocket wall`;
    case 'valve_to_valve':
      return other ? `${subject} to ${valveName(other)}` : 'valve to valve';
    case 'piston_to_head':
      return 'piston to head';
    case 'piston_edge':
      return 'piston edge to chamber';
    case 'retainer_to_seal':
      return `retainer to seal, ${subject}`;
    case 'coil_bind':
      return `room to coil bind, ${subject}`;
    case 'rocker_slot':
      return `rocker slot to stud, ${subject}`;
    case 'pushrod_hole':
      return `pushrod to its hole, ${subject}`;
    default:
      return `${check.replaceAll('_', ' ')}${valve ? `, ${subject}` : ''}`;
  }
}

export function cylinderWords(numbers: readonly number[], all: number): string {
  if (all > 1 && numbers.length === all) return 'every cylinder';
  if (numbers.length === 1) return `cylinder ${numbers[0]}`;
  return `cylinders ${numbers.slice(0, -1).join(', ')} and ${numbers.at(-1)}`;
}

export function surfaceWords(surface: string): string {
  return surface.replaceAll('_', ' ');
}

export function placeWords(place: Wire['PlaceWire']): string {
  if (place.surface === 'anywhere' || place.surface === 'head_face') return '';
  return `${surfaceWords(place.surface)}, ${place.clock} o'clock`;
}

// Names of readings whose keys say too little beside a field.
const READING_NAMES: Record<string, string> = {
  x: 'Along the crank (x)',
  y: 'Across the engine (y)',
  tilt_x: 'Lean along the crank (tilt x)',
  tilt_y: 'Lean across the engine (tilt y)',
  at: 'Duration is stated at',
  lasts: 'It lasts',
};

export function readingName(path: string): string {
  const key = path.split('.').at(-1) ?? path;
  return READING_NAMES[key] ?? capital(key.replaceAll('_', ' '));
}

export function pathWords(path: string): string {
  return path.replaceAll('_', ' ').replaceAll('.', ' › ');
}
