// What the shop holds, read again when something changed here, in another tab, or while the server was away.
import { answer, api, type Wire } from '../api/client';
import { connection } from './connection.svelte';
import { route, type Subject } from './route.svelte';

class Bench {
  about = $state<Wire['About'] | undefined>();
  builds = $state<Wire['BuildRow'][] | undefined>();
  swaps = $state<Wire['SwapDetail'][] | undefined>();
  undoable = $state<Wire['ShopChange'] | null | undefined>();
  // Grows with every change of the shop that this tab knows of; answers are asked for again when it does.
  change = $state(0);
  trouble = $state('');
  #tabs = new BroadcastChannel('headroom');

  constructor() {
    this.#tabs.onmessage = () => void this.read();
    addEventListener('focus', () => {
      if (!connection.gone) void this.read();
    });
  }

  async read() {
    try {
      const [about, builds, swaps, undo] = await Promise.all([
        answer(api.GET('/api/about')),
        answer(api.GET('/api/builds')),
        answer(api.GET('/api/swaps')),
        answer(api.GET('/api/undo')),
      ]);
      this.about = about;
      this.builds = builds;
      this.swaps = swaps;
      this.undoable = undo.change ?? null;
      this.trouble = '';
      this.change += 1;
    } catch (error) {
      if (!connection.gone) this.trouble = String((error as Error).message);
    }
  }

  // To be called after this tab changed something.
  async changed() {
    this.#tabs.postMessage('changed');
    await this.read();
  }

  build(id: number | undefined): Wire['BuildRow'] | undefined {
    return this.builds?.find((build) => build.id === id);
  }

  swap(id: number | undefined): Wire['SwapDetail'] | undefined {
    return this.swaps?.find((swap) => swap.id === id);
  }

  // The engine of the address, as long as the shop has it.
  get subject(): Subject | undefined {
    const asked = route.subject;
    if (!asked || !this.build(asked.build)) return undefined;
    return asked.swap === undefined || this.swap(asked.swap) ? asked : { build: asked.build };
  }

  title(subject: Subject | undefined): string {
    if (!subject) return '';
    const swap = this.swap(subject.swap);
    if (swap) return swap.title ?? swap.name;
    const build = this.build(subject.build);
    return build?.title ?? build?.name ?? '';
  }

  // What changes when the sheets behind an engine do.
  revision(subject: Subject): string {
    return `${this.build(subject.build)?.revision ?? 0}.${this.swap(subject.swap)?.revision ?? 0}.${this.change > 0 ? connection.epoch : 0}`;
  }

  // What is wrong in the sheets of an engine.
  problems(subject: Subject | undefined): number {
    if (!subject) return 0;
    return (this.build(subject.build)?.problems ?? 0) + (this.swap(subject.swap)?.problems.length ?? 0);
  }
}

export const bench = new Bench();
