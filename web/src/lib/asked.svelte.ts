// An answer that belongs to a question: asked again when the question changes, the last one shown until the new one is there.
import { Refused } from '../api/client';

export class Asked<T> {
  data = $state<T | undefined>();
  error = $state<Refused | Error | undefined>();
  waiting = $state(false);
  // The question that `data` answers.
  of = $state('');
  #wanted = '';

  // Makes sure that the question is asked; `key` names it.
  ask(key: string, how: () => Promise<T>) {
    if (key === this.#wanted) return;
    this.#wanted = key;
    this.waiting = true;
    how().then(
      (data) => this.#settle(key, data, undefined),
      (error: unknown) => this.#settle(key, undefined, error as Error),
    );
  }

  #settle(key: string, data: T | undefined, error: Error | undefined) {
    if (key !== this.#wanted) return;
    this.data = data;
    this.error = error;
    this.of = key;
    this.waiting = false;
    if (error && !(error instanceof Refused)) this.#wanted = '';
  }
}
