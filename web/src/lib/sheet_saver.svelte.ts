// One sheet that is being changed: saved from the revision it was read at; when somebody else was quicker, both texts are
// there to choose from and nothing is overwritten.
import { answer, api, Refused, type Wire } from '../api/client';
import { bench } from './bench.svelte';
import { dropDraft, keepDraft, keptDraft } from './draft';

export type Kind = 'build' | 'swap';
type Detail = Wire['BuildDetail'] | Wire['SwapDetail'];

export class SheetSaver {
  readonly kind: Kind;
  readonly id: number;
  detail = $state.raw<Detail | undefined>();
  text = $state('');
  saving = $state(false);
  trouble = $state('');
  // The sheet as somebody else left it.
  theirs = $state.raw<Wire['CurrentWire'] | undefined>();
  #again = false;

  constructor(kind: Kind, id: number) {
    this.kind = kind;
    this.id = id;
  }

  get changed(): boolean {
    return this.detail !== undefined && this.text !== this.detail.text;
  }

  async read() {
    try {
      const detail: Detail = await (this.kind === 'build'
        ? answer(api.GET('/api/builds/{id}', { params: { path: { id: this.id } } }))
        : answer(api.GET('/api/swaps/{id}', { params: { path: { id: this.id } } })));
      const before = this.detail;
      if (before && this.changed && detail.revision !== before.revision) {
        this.theirs = { ...detail };
        return;
      }
      if (before && this.changed) {
        // Typed while the server was away, or while a save failed.
        if (this.trouble) await this.save();
        return;
      }
      const draft = keptDraft(this.kind, this.id);
      this.detail = detail;
      this.text = detail.text;
      if (draft && draft.text !== detail.text) {
        this.text = draft.text;
        if (draft.revision !== detail.revision) this.theirs = { ...detail };
        else await this.save();
      } else {
        dropDraft(this.kind, this.id);
      }
    } catch (error) {
      this.trouble = (error as Error).message;
    }
  }

  // Takes a new text and puts it into the shop; one at a time, the newest last.
  async put(text: string) {
    this.text = text;
    this.keep();
    await this.save();
  }

  keep() {
    if (this.detail) keepDraft(this.kind, this.id, { text: this.text, revision: this.detail.revision });
  }

  async save() {
    if (this.saving) {
      this.#again = true;
      return;
    }
    this.saving = true;
    do {
      this.#again = false;
      await this.#once();
    } while (this.#again && !this.theirs);
    this.saving = false;
  }

  async #once() {
    const detail = this.detail;
    if (!detail || this.theirs || this.text === detail.text) return;
    const text = this.text;
    const body = { name: detail.name, text, revision: detail.revision };
    const path = { id: this.id };
    try {
      this.detail = await (this.kind === 'build'
        ? answer(api.PUT('/api/builds/{id}', { params: { path }, body }))
        : answer(api.PUT('/api/swaps/{id}', { params: { path }, body })));
      if (this.text === text) dropDraft(this.kind, this.id);
      this.trouble = '';
      await bench.changed();
    } catch (error) {
      const current = error instanceof Refused ? error.failure?.current : undefined;
      if (current) this.theirs = current;
      else this.trouble = `Not saved yet: ${(error as Error).message}. It is kept in this browser.`;
    }
  }

  // Mine replaces theirs; undo brings theirs back.
  async keepMine() {
    if (!this.theirs || !this.detail) return;
    this.detail = { ...this.detail, text: this.theirs.text, revision: this.theirs.revision, name: this.theirs.name };
    this.theirs = undefined;
    await this.save();
  }

  async takeTheirs() {
    this.theirs = undefined;
    this.detail = undefined;
    dropDraft(this.kind, this.id);
    await this.read();
    await bench.read();
  }

  // Mine goes into the shop beside theirs, under another name.
  async keepBoth(): Promise<number | undefined> {
    if (!this.theirs || !this.detail) return undefined;
    const name = `${this.theirs.name.slice(0, 60)}-mine-${Date.now().toString(36)}`;
    try {
      const made = await (this.kind === 'build'
        ? answer(api.POST('/api/builds', { body: { name, text: this.text } }))
        : answer(api.POST('/api/swaps', { body: { name, text: this.text, build: (this.detail as Wire['SwapDetail']).build } })));
      await this.takeTheirs();
      await bench.changed();
      return made.id;
    } catch (error) {
      this.trouble = (error as Error).message;
      return undefined;
    }
  }
}
