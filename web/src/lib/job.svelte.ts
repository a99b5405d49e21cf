// A long piece of work at the server: started or found again after a reload, watched over server-sent events, cancelled.
import { answer, api, type Wire } from '../api/client';
import { connection } from './connection.svelte';

export type Kind = Wire['JobKind'];

export class Job<R> {
  state = $state.raw<Wire['JobWire'] | undefined>();
  result = $state.raw<R | undefined>();
  trouble = $state('');
  #events: EventSource | undefined;
  #key = '';

  // Takes the job of that kind up that is under way or done, if there is one.
  async find(kind: Kind) {
    this.#begin(kind);
    try {
      const jobs = await answer(api.GET('/api/jobs'));
      const same = jobs.filter((job) => sameKind(job.kind, kind) && job.state !== 'cancelled' && job.state !== 'failed').at(-1);
      if (same && this.#key === text(kind)) this.#watch(same);
    } catch (error) {
      if (!connection.gone) this.trouble = (error as Error).message;
    }
  }

  async start(kind: Kind) {
    this.#begin(kind);
    try {
      this.#watch(await answer(api.POST('/api/jobs', { body: kind })));
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  async cancel() {
    if (this.state) await api.DELETE('/api/jobs/{id}', { params: { path: { id: this.state.id } } });
  }

  // Stops looking; the job goes on.
  leave() {
    this.#events?.close();
    this.#events = undefined;
  }

  get isUnderWay(): boolean {
    return this.state?.state === 'waiting' || this.state?.state === 'running';
  }

  #begin(kind: Kind) {
    this.leave();
    this.#key = text(kind);
    this.state = undefined;
    this.result = undefined;
    this.trouble = '';
  }

  #watch(job: Wire['JobWire']) {
    this.state = job;
    if (job.state === 'done') {
      void this.#fetch(job.id);
      return;
    }
    const events = new EventSource(`/api/jobs/${job.id}/events`);
    this.#events = events;
    events.addEventListener('state', (event) => {
      this.state = JSON.parse((event as MessageEvent<string>).data) as Wire['JobWire'];
      if (this.isUnderWay) return;
      events.close();
      if (this.state.state === 'done') void this.#fetch(job.id);
      else if (this.state.state === 'failed') this.trouble = this.state.message;
    });
    events.onerror = () => {
      if (events.readyState === EventSource.CLOSED) connection.isGone();
    };
  }

  async #fetch(id: number) {
    try {
      this.result = (await answer(api.GET('/api/jobs/{id}/result', { params: { path: { id } } }))) as R;
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }
}

// Fields that the server fills in by itself do not make another job.
function sameKind(a: Kind, b: Kind): boolean {
  return text(a) === text(b);
}

function text(kind: Kind): string {
  const given = Object.entries(kind).filter(([, value]) => value !== null && value !== undefined);
  return JSON.stringify(given.sort(([a], [b]) => a.localeCompare(b)));
}
