// The payoff of a swap in the browser: from its start over progress, cancel and a reload to the reasons, and everything saved.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

import { accessible } from './accessible';
import { expect, test, type Page, type Running } from './bench';

// A payoff takes seconds by itself, minutes beside whatever else the machine does.
test.describe.configure({ timeout: 300_000 });
const WORKED_OUT = { timeout: 200_000 };
const OUT = join(import.meta.dirname, '../../out/screens');

const words = (page: Page) => page.getByLabel('Payoff in words');
const waterfall = (page: Page) => page.getByRole('img', { name: /^Reasons, mean torque/ });

// The single is the cheapest to run.
async function workedOut(page: Page, bench: Running) {
  await page.goto(`${bench.url}/#/payoff/${await bench.swapAddress('kestrel-big-valves')}`);
  await page.getByLabel('How finely').selectOption('screen');
  await page.getByRole('button', { name: 'Work out the payoff' }).click();
  await expect(waterfall(page)).toBeVisible(WORKED_OUT);
}

test('a payoff runs with progress, survives a reload, is cancelled, and comes to its reasons', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/payoff/${await bench.swapAddress('heron-with-bittern-head')}`);
  await page.getByLabel('How finely').selectOption('fine');
  await page.getByRole('button', { name: 'Work out the payoff' }).click();
  const bar = page.getByRole('progressbar');
  await expect(page.getByText(/Payoff: .*engine speeds/)).toBeVisible(WORKED_OUT);
  await page.reload();
  await page.getByLabel('How finely').selectOption('fine');
  await expect(bar).toBeVisible();
  await page.screenshot({ path: join(OUT, 'payoff-running.png') });
  await page.getByRole('button', { name: 'Cancel' }).click();
  await expect(page.getByText('Payoff: cancelled.')).toBeVisible(WORKED_OUT);

  await workedOut(page, bench);
  await expect(words(page)).toContainText('worth doing');
  await expect(waterfall(page)).toHaveAttribute('aria-label', /valves and flow \+[\d.]+ N m/);
  // Loaded again it is there without being asked for.
  await page.reload();
  await page.getByLabel('How finely').selectOption('screen');
  await expect(waterfall(page)).toBeVisible();
});

test('another dyno and other units word the same payoff again', async ({ page, bench }) => {
  await workedOut(page, bench);
  const shows = page.getByText(/^Chance that it gives more than the dyno's/);
  await expect(shows).toContainText('1.0 %');
  const dyno = page.getByLabel('Your dyno repeats to');
  await dyno.fill('5');
  await dyno.press('Enter');
  await expect(shows).toContainText('5.0 %');
  await expect(words(page)).toContainText('5.0 % a dyno repeats to');
  await dyno.fill('bananas');
  await dyno.press('Enter');
  await expect(page.getByText(/Found bananas, expected/)).toBeVisible();
  await page.getByRole('button', { name: 'inch' }).click();
  await expect(words(page)).toContainText('lb-ft');
  await expect(waterfall(page)).toHaveAttribute('aria-label', /lb-ft/);
  await page.getByRole('button', { name: 'Power', exact: true }).click();
  await expect(page.getByRole('img', { name: /^Reasons, mean power/ })).toHaveAttribute('aria-label', /hp/);
});

test('every picture of a payoff can be saved, and the numbers beneath', async ({ page, bench }) => {
  await workedOut(page, bench);
  const saved = async (press: () => Promise<void>) => {
    const [download] = await Promise.all([page.waitForEvent('download'), press()]);
    const path = join(OUT, `payoff-saved-${download.suggestedFilename()}`);
    await download.saveAs(path);
    return readFileSync(path);
  };
  const figures = page.getByRole('figure');
  const n = await figures.count();
  expect(n).toBe(5);
  for (let idx = 0; idx < n; idx += 1) {
    const figure = figures.nth(idx);
    await figure.getByText('Save the picture').click();
    const button = (name: string) => () => figure.getByRole('button', { name, exact: true }).click();
    const svg = (await saved(button('SVG'))).toString();
    expect(svg).toContain('<svg');
    expect(svg).not.toContain('var(');
    for (const ground of ['light', 'dark']) {
      const png = await saved(button(`Slide 1920 × 1080, ${ground}`));
      expect([png.readUInt32BE(16), png.readUInt32BE(20)]).toEqual([1920, 1080]);
    }
    const csv = (await saved(button('Save the numbers as CSV'))).toString().trim().split('\n');
    expect(csv.length).toBeGreaterThan(3);
    const columns = (line: string) => line.split(/,(?=(?:[^"]*"[^"]*")*[^"]*$)/).length;
    expect(csv.every((line) => columns(line) === columns(csv[0] ?? ''))).toBe(true);
  }
});

test('a payoff with the keyboard alone', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/payoff/${await bench.swapAddress('kestrel-big-valves')}`);
  const start = page.getByRole('button', { name: 'Work out the payoff' });
  await expect(start).toBeVisible();
  for (let n = 0; n < 40 && !(await start.evaluate((one) => one === document.activeElement)); n += 1) await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await expect(waterfall(page)).toBeVisible(WORKED_OUT);
  const curves = page.getByRole('img', { name: /^Predicted torque/ });
  for (let n = 0; n < 40 && !(await curves.evaluate((one) => one === document.activeElement)); n += 1) await page.keyboard.press('Tab');
  await page.keyboard.press('ArrowRight');
  await expect(page.getByText(/^at .* rpm$/)).toBeVisible();
  const dyno = page.getByLabel('Your dyno repeats to');
  for (let n = 0; n < 40 && !(await dyno.evaluate((one) => one === document.activeElement)); n += 1) await page.keyboard.press('Tab');
  await page.keyboard.press('Control+A');
  await page.keyboard.type('3');
  await page.keyboard.press('Enter');
  await expect(words(page)).toContainText('3.0 % a dyno repeats to');
});

for (const theme of ['light', 'dark'] as const) {
  test.describe(theme, () => {
    test.use({ colorScheme: theme });
    test(`a payoff is drawn and accessible, also on a tablet, ${theme}`, async ({ page, bench }) => {
      await workedOut(page, bench);
      await accessible(page, `payoff, ${theme}`);
      await page.screenshot({ path: join(OUT, `payoff-answer-${theme}.png`), fullPage: true });
      await page.setViewportSize({ width: 820, height: 1180 });
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      expect(over).toBeLessThanOrEqual(0);
      await accessible(page, `payoff on a tablet, ${theme}`);
      await page.screenshot({ path: join(OUT, `payoff-answer-tablet-${theme}.png`), fullPage: true });
    });
  });
}
