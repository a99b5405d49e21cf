// The verdict on the engine of the address: asked once, shown in the strip and in full.
import { answer, api, type Wire } from '../api/client';
import { Asked } from './asked.svelte';
import { bench } from './bench.svelte';
import type { Subject } from './route.svelte';
import { settings } from './settings.svelte';

export interface Assessment {
  verdict: string[];
  check: Wire['CheckWire'];
  swap: Wire['SwapWire'] | undefined;
  // How many cylinders the engine has.
  cylinders: number;
}

export const assessment = new Asked<Assessment>();

export function assess(subject: Subject) {
  const units = settings.units;
  const key = `${subject.build} ${subject.swap ?? ''} ${units} ${bench.revision(subject)}`;
  assessment.ask(key, async () => {
    const { cylinders } = await answer(api.GET('/api/builds/{id}', { params: { path: { id: subject.build } } }));
    if (subject.swap === undefined) {
      const check = await answer(api.GET('/api/check', { params: { query: { build: subject.build, units } } }));
      return { verdict: check.verdict ?? [], check, swap: undefined, cylinders };
    }
    const swap = await answer(api.GET('/api/verdict', { params: { query: { swap: subject.swap, units } } }));
    return { verdict: swap.verdict, check: swap.fit, swap, cylinders };
  });
}
