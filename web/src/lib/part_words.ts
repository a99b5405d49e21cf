// Kinds of part as one says them; a kind that the server learns and this does not is an error of the compiler.
import type { Wire } from '../api/client';

export const PART_WORDS: Record<Wire['PartKind'], string> = {
  block: 'Block',
  gasket: 'Gasket',
  head: 'Head',
  piston: 'Piston',
  cam: 'Cam',
  train: 'Valve train',
  spring: 'Springs',
  port: 'Ports',
  flow: 'Flow bench table',
  induction: 'Induction',
  exhaust: 'Exhaust',
  boost: 'Boost',
  fuel: 'Fuel',
  spark: 'Spark',
  burning: 'Burning',
  walls: 'Walls',
  friction: 'Friction',
};
