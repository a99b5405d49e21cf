// Whether the server answers, and asking again until it does.

class Connection {
  gone = $state(false);
  unpaired = $state(false);
  // Grows whenever the server came back: what was read before may be stale.
  epoch = $state(0);
  #timer: ReturnType<typeof setTimeout> | undefined;

  isThere(status: number) {
    this.unpaired = status === 401;
    if (!this.gone) return;
    this.gone = false;
    clearTimeout(this.#timer);
    this.#timer = undefined;
    this.epoch += 1;
  }

  isGone() {
    this.gone = true;
    if (this.#timer === undefined) this.#wait();
  }

  async tryNow() {
    clearTimeout(this.#timer);
    this.#timer = undefined;
    try {
      const response = await fetch('/api/about', { cache: 'no-store' });
      this.isThere(response.status);
    } catch {
      this.#wait();
    }
  }

  #wait() {
    this.#timer = setTimeout(() => void this.tryNow(), 1500);
  }
}

export const connection = new Connection();
