// Asks for the newest question only: one request under way, the newest one waiting, answers that are stale dropped. Reports
// how long it took from the hand to the picture.
import { tick } from 'svelte';

function keep(times: number[], time: number) {
  times.push(time);
  if (times.length > 2000) times.shift();
}

export class Latest<Q, A> {
  #busy = false;
  #next: { question: Q; at: number } | undefined;
  readonly #ask: (question: Q) => Promise<A>;
  readonly #show: (answer: A, question: Q) => void;
  readonly #fail: (error: unknown) => void;
  // Milliseconds from the hand to the redrawn picture, and to the frame of the browser that shows it; the newest 2000.
  readonly drawn: number[] = [];
  readonly framed: number[] = [];

  constructor(ask: (question: Q) => Promise<A>, show: (answer: A, question: Q) => void, fail: (error: unknown) => void) {
    this.#ask = ask;
    this.#show = show;
    this.#fail = fail;
  }

  put(question: Q) {
    this.#next = { question, at: performance.now() };
    if (!this.#busy) void this.#work();
  }

  async #work() {
    this.#busy = true;
    while (this.#next) {
      const { question, at } = this.#next;
      this.#next = undefined;
      try {
        const answer = await this.#ask(question);
        this.#show(answer, question);
        await tick();
        keep(this.drawn, performance.now() - at);
        requestAnimationFrame(() => keep(this.framed, performance.now() - at));
      } catch (error) {
        this.#fail(error);
      }
    }
    this.#busy = false;
  }
}
