// Screens are fetched when they are first looked at.
import type { Component } from 'svelte';

import type { ScreenKey } from '../lib/route.svelte';

// A screen that needs no engine takes no notice of it; one that does is only shown where there is one.
type Screen = Component<any>;

export const loader: Record<ScreenKey, () => Promise<{ default: Screen }>> = {
  engines: () => import('./Engines.svelte'),
  verdict: () => import('./Verdict.svelte'),
  'mock-up': () => import('./MockUp.svelte'),
  cut: () => import('./Cut.svelte'),
  volumes: () => import('./Volumes.svelte'),
  motion: () => import('./Motion.svelte'),
  payoff: () => import('./Payoff.svelte'),
  pulls: () => import('./Pulls.svelte'),
  measure: () => import('./Measure.svelte'),
  readings: () => import('./Readings.svelte'),
  sheet: () => import('./Sheet.svelte'),
  shelf: () => import('./Shelf.svelte'),
};
