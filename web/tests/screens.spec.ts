// Every screen, light and dark: a picture in out/screens, and no serious or critical finding of axe.
import { join } from 'node:path';

import { accessible } from './accessible';
import { expect, test } from './bench';

const OUT = join(import.meta.dirname, '../../out/screens');

const SCREENS: [string, RegExp][] = [
  ['engines', /Enter an engine/],
  ['verdict', /Findings, worst first/],
  ['mock-up', /Gaps as it stands/],
  ['cut', /On the deck, to scale/],
  ['volumes', /compression/],
  ['motion', /Lift at the valve/],
  ['payoff', /Work out the payoff/],
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
