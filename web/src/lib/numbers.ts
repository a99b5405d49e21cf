// Numbers with their units, in no more digits than somebody can measure. The server sends millimetres, degrees and cc.
import { settings, type System } from './settings.svelte';

const MM_PER_INCH = 25.4;
const CC_PER_CUBIC_INCH = 16.387064;

// A true minus sign, and no "-0.00".
export function plain(value: number, digits: number): string {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? (0).toFixed(digits) : text.replace('-', '−');
}

export function length(mm: number, units: System = settings.units): string {
  return units === 'metric' ? `${plain(mm, 2)} mm` : `${plain(mm / MM_PER_INCH, 3)} in`;
}

export function tolerance(mm: number, units: System = settings.units): string {
  return `± ${length(mm, units)}`;
}

export function volume(cc: number, units: System = settings.units): string {
  return units === 'metric' ? `${plain(cc, 1)} cc` : `${plain(cc / CC_PER_CUBIC_INCH, 2)} cu in`;
}

export function angle(degrees: number, digits = 0): string {
  return `${plain(degrees, digits)}°`;
}

export function percent(share: number): string {
  if (share > 0 && share < 0.01) return '< 1 %';
  if (share < 1 && share > 0.99) return '> 99 %';
  return `${Math.round(share * 100)} %`;
}

export function torque(newtonMetres: number, units: System = settings.units): string {
  return units === 'metric' ? `${plain(newtonMetres, 0)} N m` : `${plain(newtonMetres / 1.3558179483, 0)} lb-ft`;
}

export function power(kilowatts: number, units: System = settings.units): string {
  return units === 'metric' ? `${plain(kilowatts, 0)} kW` : `${plain(kilowatts / 0.7456998716, 0)} hp`;
}

export function force(newtons: number, units: System = settings.units): string {
  return units === 'metric' ? `${plain(newtons, 0)} N` : `${plain(newtons / 4.4482216, 0)} lbf`;
}

// How one counts in a slider: the number and its unit apart.
export function shown(mm: number, units: System = settings.units): { number: string; unit: string } {
  return units === 'metric'
    ? { number: plain(mm, 2), unit: 'mm' }
    : { number: plain(mm / MM_PER_INCH, 3), unit: 'in' };
}
