// Every screen, light and dark: a picture in out/screens, and no serious or critical finding of axe.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';

import { expect, test, type Page } from './bench';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const OUT = join(import.meta.dirname, '../../out/screens');

interface Finding {
  id: string;
  impact: string;
  nodes: { html: string; failureSummary: string }[];
}

async function accessible(page: Page, where: string) {
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

const SCREENS: [string, RegExp][] = [
  ['engines', /Enter an engine/],
  ['verdict', /Findings, worst first/],
  ['mock-up', /Gaps as it stands/],
  ['cut', /On the deck, to scale/],
  ['volumes', /compression/],
  ['motion', /Lift at the valve/],
  ['payoff', /Run the pull/],
  ['pulls', /What B gained/],
  ['measure', /Which reading could/],
  ['readings', /How to measure/],
  ['sheet', /can be read/],
  ['shelf', /Parts on the shelf/],
];

for (const theme of ['light', 'dark'] as const) {
  test.describe(theme, () => {
    test.use({ colorScheme: theme });
    test(`every screen is drawn and accessible, ${theme}`, async ({ page, bench }) => {
      test.setTimeout(150_000);
      const swap = await bench.swapAddress('heron-with-bittern-head');
      for (const [screen, sign] of SCREENS) {
        await page.goto(`${bench.url}/#/${screen}/${swap}`);
        await expect(page.locator('#main')).toContainText(sign);
        if (!['engines', 'pulls', 'shelf'].includes(screen)) {
          await expect(page.getByLabel('Verdict', { exact: true })).toContainText('hits');
        }
        await accessible(page, `${screen}, ${theme}`);
        await page.screenshot({ path: join(OUT, `${screen}-${theme}.png`), fullPage: true });
      }
    });
  });
}
