// The dye map: painted on the mock-up, following the hand, and before and after the cut; told in words, light and dark, on a tablet.
import { join } from 'node:path';

import { accessible } from './accessible';
import { expect, test } from './bench';

// What stays at the top of the window would lie over the picture of a part of the page.
const UNSTUCK = '.strip, header { position: static !important }';
const OUT = join(import.meta.dirname, '../../out/screens');

for (const theme of ['light', 'dark'] as const) {
  test.describe(theme, () => {
    test.use({ colorScheme: theme });
    test(`the mock-up is painted with dye and follows the hand, ${theme}`, async ({ page, bench }) => {
      await page.goto(`${bench.url}/#/mock-up/${await bench.swapAddress('heron-with-bittern-head')}`);
      await page.getByRole('button', { name: 'Paint with dye' }).click();
      const dye = page.getByTestId('dye');
      await expect(dye.getByRole('img', { name: /The wall of cylinder \d unrolled/ })).toBeVisible();
      // Words and numbers, not colour alone.
      await expect(dye).toContainText('Hits: the parts run into each other');
      await expect(dye).toContainText('Up to 1.00 mm over its limit');
      const spots = dye.getByRole('list', { name: 'Worst spots' });
      const first = await spots.getByRole('listitem').first().innerText();
      expect(first).toMatch(/valve to the (block|piston): hits, .*mm.*limit.*o'clock/);
      await accessible(page, `mock-up with dye, ${theme}`);
      await page.screenshot({ path: join(OUT, `mock-up-dye-${theme}.png`), fullPage: true });
      // A thinner gasket brings the head down: the worst spot is another number.
      await page.getByRole('slider', { name: /Gasket thickness/ }).focus();
      for (let n = 0; n < 6; n += 1) await page.keyboard.press('ArrowLeft');
      await expect(spots.getByRole('listitem').first()).not.toHaveText(first);
      await expect(dye).toContainText('Turned by hand the map has cells of 2°');
      await page.getByRole('button', { name: 'Wipe the dye off' }).click();
      await expect(dye).toBeHidden();
    });

    test(`the dye before and after the cut, ${theme}`, async ({ page, bench }) => {
      await page.goto(`${bench.url}/#/cut/${await bench.swapAddress('heron-with-bittern-head')}`);
      const dye = page.getByTestId('dye-cut');
      await expect(dye.getByRole('img', { name: /Deck and crown/ })).toHaveCount(2);
      const [before, after] = [dye.getByRole('list', { name: 'Worst spots, as it is' }), dye.getByRole('list', { name: 'Worst spots, after the cut' })];
      await expect(before).toContainText('to the block: hits');
      await expect(after).not.toContainText('to the block: hits');
      await expect(after).toContainText('Before: −');
      await accessible(page, `cut with dye, ${theme}`);
      await dye.screenshot({ path: join(OUT, `cut-dye-${theme}.png`), style: UNSTUCK });
    });
  });
}

test.describe('on a tablet', () => {
  test.use({ viewport: { width: 768, height: 1024 } });
  test('the dye fits a tablet, and a very long name', async ({ page, bench }) => {
    const swap = await bench.api<{ text: string; revision: number; name: string }>('GET', `/api/swaps/${(await bench.swapAddress('heron-with-bittern-head')).split('/').at(-1)}`);
    const address = await bench.swapAddress('heron-with-bittern-head');
    await bench.api('PUT', `/api/swaps/${address.split('/').at(-1)}`, {
      name: swap.name,
      revision: swap.revision,
      text: swap.text.replace(/^name = .*$/m, `name = "${'Bittern head '.repeat(30).trim()}"`),
    });
    for (const screen of ['mock-up', 'cut']) {
      await page.goto(`${bench.url}/#/${screen}/${address}`);
      if (screen === 'mock-up') await page.getByRole('button', { name: 'Paint with dye' }).click();
      await expect(page.getByRole('img', { name: /unrolled/ }).first()).toBeVisible();
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      expect(over, screen).toBeLessThanOrEqual(0);
      await page.getByTestId(/^dye/).screenshot({ path: join(OUT, `${screen}-dye-tablet.png`), style: UNSTUCK });
    }
  });
});
