// What was typed and is not in the shop yet, kept in this browser so that a reload or a dead server loses nothing.

export interface Draft {
  text: string;
  // The revision it was made from.
  revision: number;
}

const key = (kind: string, id: number) => `headroom.draft.${kind}.${id}`;

export function keepDraft(kind: string, id: number, draft: Draft) {
  localStorage.setItem(key(kind, id), JSON.stringify(draft));
}

export function keptDraft(kind: string, id: number): Draft | undefined {
  try {
    const kept = JSON.parse(localStorage.getItem(key(kind, id)) ?? 'null') as Draft | null;
    return kept ?? undefined;
  } catch {
    return undefined;
  }
}

export function dropDraft(kind: string, id: number) {
  localStorage.removeItem(key(kind, id));
}
