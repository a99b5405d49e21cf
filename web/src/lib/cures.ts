// What would cure a finding, in words.
import type { Wire } from '../api/client';
import { length } from './numbers';
import { pathWords } from './words';

export function cureWords(cure: Wire['CureWire']): string {
  switch (cure.change) {
    case 'lift_no_more_than':
      return `keep the valve's lift below ${length(cure.mm)}`;
    case 'gasket_no_thinner_than':
      return `a gasket of ${length(cure.mm)} or more`;
    case 'valve_no_larger_than':
      return `a valve of ${length(cure.mm)} or less`;
    case 'relief_of':
      return `a relief ${length(cure.mm)} deep`;
    case 'gasket_opening_larger_by':
      return `a gasket opening ${length(cure.mm)} larger`;
    case 'pocket_deeper_by':
      return `a pocket ${length(cure.mm)} deeper`;
    case 'pocket_larger_by':
      return `a pocket ${length(cure.mm)} larger in diameter`;
    case 'measure':
      return `measure ${pathWords(cure.path)}`;
  }
}
