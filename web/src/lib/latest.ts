// Asks for the newest question only: one request under way, the newest one waiting, answers that are stale dropped. Reports
// how long it took from the hand to the picture.

export class Latest<Q, A> {
  #busy = false;
  #next: { question: Q; at: number } | undefined;
  readonly #ask: (question: Q) => Promise<A>;
  readonly #show: (answer: A, question: Q) => void;
  readonly #fail: (error: unknown) => void;
  // Milliseconds from the question to the frame that shows its answer; the newest 2000.
  readonly times: number[] = [];

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
        requestAnimationFrame(() => {
          this.times.push(performance.now() - at);
          if (this.times.length > 2000) this.times.shift();
        });
      } catch (error) {
        this.#fail(error);
      }
    }
    this.#busy = false;
  }
}
