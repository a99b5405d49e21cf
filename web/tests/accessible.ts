// No serious or critical finding of axe on the page as it stands.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

import { expect, type Page } from './bench';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Finding {
  id: string;
  impact: string;
  nodes: { html: string; failureSummary: string }[];
}

export async function accessible(page: Page, where: string) {
  // The program's own policy forbids scripts from elsewhere; the debugger's evaluation is not bound by it.
  await page.evaluate(AXE);
  const found = await page.evaluate(async () => {
    const { axe } = globalThis as unknown as { axe: { run: () => Promise<{ violations: Finding[] }> } };
    return (await axe.run()).violations;
  });
  const grave = found
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${where}: ${id}: ${nodes.map((node) => `${node.html} ${node.failureSummary}`).join('\n')}`);
  expect(grave).toEqual([]);
}
