// A running bench for every test: its own shop file, its own port, killed and started again where a test wants that.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

import { test as base, expect, type Page } from '@playwright/test';

export { expect };
export type { Page };

const PROGRAM = process.env.HEADROOM ?? join(import.meta.dirname, '../../target/debug/headroom');

export class Running {
  readonly folder = mkdtempSync(join(tmpdir(), 'headroom-bench-'));
  readonly shop = join(this.folder, 'shop.headroom');
  url = '';
  #process: ChildProcess | undefined;

  // Starts on any port, or again on the one it had.
  async start() {
    const port = this.url ? new URL(this.url).port : '0';
    const child = spawn(PROGRAM, ['bench', this.shop, '--no-open', '--port', port], { stdio: ['ignore', 'pipe', 'inherit'] });
    this.#process = child;
    this.url = await new Promise<string>((resolve, reject) => {
      let said = '';
      child.stdout?.on('data', (text: Buffer) => {
        said += text.toString();
        const found = /http:\/\/[^\s]+/.exec(said);
        if (found) resolve(found[0]);
      });
      child.on('exit', (code) => reject(new Error(`the bench ended with ${code}: ${said}`)));
      child.on('error', reject);
    });
  }

  async stop() {
    const child = this.#process;
    this.#process = undefined;
    if (!child || child.exitCode !== null) return;
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.kill('SIGKILL');
    await ended;
  }

  async api<T>(method: string, path: string, body?: unknown): Promise<T> {
    const response = await fetch(`${this.url}${path}`, {
      method,
      headers: { 'content-type': 'application/json' },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${await response.text()}`);
    return (response.status === 204 ? undefined : await response.json()) as T;
  }

  // The build, or the swap, whose file is called that.
  async idOf(kind: 'builds' | 'swaps', name: string): Promise<number> {
    const all = await this.api<{ id: number; name: string }[]>('GET', `/api/${kind}`);
    const found = all.find((entry) => entry.name === name);
    if (!found) throw new Error(`no ${name} among ${kind}`);
    return found.id;
  }

  async swapAddress(name: string): Promise<string> {
    const all = await this.api<{ id: number; name: string; build: number }[]>('GET', '/api/swaps');
    const found = all.find((swap) => swap.name === name);
    if (!found) throw new Error(`no swap ${name}`);
    return `${found.build}/swap/${found.id}`;
  }
}

export const test = base.extend<{ bench: Running; honest: void }>({
  bench: async ({}, use) => {
    const bench = new Running();
    await bench.start();
    await use(bench);
    await bench.stop();
    rmSync(bench.folder, { recursive: true, force: true });
  },
  // Nothing may go wrong unseen: an error on the page ends the test.
  honest: [
    async ({ page }, use) => {
      const errors: string[] = [];
      page.on('pageerror', (error) => errors.push(error.message));
      await use();
      expect(errors).toEqual([]);
    },
    { auto: true },
  ],
});
