// What somebody does at the bench, from the first start to the verdict and back.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

import { expect, test, type Page } from './bench';

const OUT = join(import.meta.dirname, '../../out/screens');
const HERON = readFileSync(join(import.meta.dirname, '../../demos/heron.build.toml'), 'utf8');

// The readings of the demo as somebody would type them, section by section in the order of the screen.
function demo(section: string, key: string): string {
  const lines = HERON.split('\n');
  const from = lines.findIndex((line) => line === section);
  const found = lines.slice(from + 1).find((line) => line.startsWith(`${key} = `));
  return /"(.*)"/.exec(found ?? '')?.[1] ?? '';
}

function valve(name: string, key: string): string {
  const own = HERON.slice(HERON.indexOf(`name = "${name}"`));
  return new RegExp(`^${key} = "(.*)"`, 'm').exec(own)?.[1] ?? '';
}

const strip = (page: Page) => page.getByLabel('Verdict', { exact: true });
const NAMES: Record<string, string> = { x: 'Along the crank (x)', y: 'Across the engine (y)', at: 'Duration is stated at', lasts: 'It lasts' };
const title = (key: string) => NAMES[key] ?? key.charAt(0).toUpperCase() + key.slice(1).replaceAll('_', ' ');

async function fill(page: Page, key: string, section: string, text: string) {
  const field = page.getByLabel(`${title(key)}, ${section}`, { exact: true });
  await field.fill(text);
  await field.press('Tab');
}

test('first start to verdict: a new user enters the readings of a demo by hand', async ({ page, bench }) => {
  await page.goto(bench.url);
  await page.getByLabel('What do you call it?').fill('Six by hand');
  await page.getByLabel('Cylinders').fill('6');
  await page.getByRole('button', { name: 'Begin' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('What was measured?');
  await expect(strip(page)).toContainText('Half-entered');

  for (const key of ['bore', 'stroke', 'rod_length', 'chamfer_width', 'chamfer_depth', 'bore_spacing']) {
    await fill(page, key, 'block', demo('[block]', key));
  }
  await page.getByRole('button', { name: 'Next: Piston' }).click();
  for (const key of ['deck_offset', 'crown_volume', 'top_land_height']) await fill(page, key, 'piston', demo('[piston]', key));
  await page.getByRole('button', { name: 'Next: Gasket' }).click();
  // An impossible value is told at its field, with what was expected; any unit is taken.
  await fill(page, 'thickness', 'gasket', '1.2 bananas');
  await expect(page.getByLabel('Thickness, gasket')).toHaveAttribute('aria-invalid', 'true');
  await expect(page.getByText(/Found .*bananas/)).toBeVisible();
  await fill(page, 'thickness', 'gasket', '47.24 thou ± 2.4');
  await fill(page, 'opening', 'gasket', demo('[gasket]', 'opening'));
  await expect(page.getByLabel('Thickness, gasket')).toHaveAttribute('aria-invalid', 'false');

  // In the middle of it the page is loaded again: nothing is lost.
  await expect(page.getByText('In the shop')).toBeVisible();
  await page.reload();
  await page.getByRole('button', { name: /^Gasket/ }).click();
  await expect(page.getByLabel('Thickness, gasket')).toHaveValue('47.24 thou ± 2.4');

  await page.getByRole('button', { name: 'Next: Head' }).click();
  for (const key of ['chamber_volume', 'chamber_diameter', 'chamber_wall_height', 'bore_spacing']) {
    await fill(page, key, 'head', demo('[head]', key));
  }
  for (const name of ['intake', 'exhaust']) {
    await page.getByRole('button', { name: `Next: ${title(name)} valve` }).click();
    for (const key of ['head_diameter', 'margin', 'stem_diameter', 'x', 'y', 'recess']) {
      await fill(page, key, `head valve ${name}`, valve(name, key));
    }
  }
  await page.screenshot({ path: join(OUT, 'readings-half-entered.png') });
  for (const name of ['intake', 'exhaust']) {
    await page.getByRole('button', { name: `Next: ${title(name)} cam` }).click();
    for (const key of ['valve_lift', 'lobe_lift', 'centreline', 'installed_advance']) {
      await fill(page, key, `cam ${name}`, demo(`[cam.${name}]`, key));
    }
    await fill(page, 'at', `cam ${name} duration`, '0.050 in');
    await fill(page, 'lasts', `cam ${name} duration`, '222 deg ± 1');
    await page.getByRole('button', { name: `Next: ${title(name)} train` }).click();
    await page.getByLabel(`Follower, train ${name}`).selectOption('flat');
    for (const key of ['ratio', 'face_diameter', 'lash_cold', 'lash_hot']) await fill(page, key, `train ${name}`, demo(`[train.${name}]`, key));
  }
  await page.getByRole('link', { name: 'To the verdict' }).click();
  await expect(strip(page)).toContainText('clear');
  // The demo itself says the same of the same readings.
  await expect(strip(page)).toContainText('the intake valve comes to 1.72 mm from the bore wall');
  await page.getByText(/readings$/).first().click();
  await expect(page.locator('.assumed').first()).toBeVisible();
});

test('a slider redraws the gap, and lets go to the first contact', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/mock-up/${await bench.swapAddress('heron-with-bittern-head')}`);
  const gaps = page.getByTestId('gaps');
  const row = gaps.getByRole('row').filter({ hasText: 'Exhaust valve to block' });
  await expect(row).toContainText('hits');
  await expect(page.getByText(/First touches at 5.3/)).toBeVisible();
  const drawn = page.locator('path.valve.exhaust:not(.seated)').last();
  const before = await drawn.getAttribute('d');
  const slider = page.getByRole('slider', { name: 'Lift, exhaust' });
  await slider.fill('2');
  await expect(row).not.toContainText('hits');
  expect(await drawn.getAttribute('d')).not.toBe(before);
  // Arrow keys move it too.
  await slider.focus();
  await page.keyboard.press('ArrowRight');
  await expect(page.getByLabel('Lift, exhaust, mm')).toHaveValue('2.05');
  // The cam lifts, the crank turns, and comes to rest.
  await page.getByRole('button', { name: 'The cam' }).click();
  await page.getByRole('slider', { name: /Crank angle/ }).fill('250');
  await expect(gaps).toContainText('Crank 250°');
  await page.getByRole('button', { name: 'Turn the crank' }).click();
  await page.waitForTimeout(600);
  await page.getByRole('button', { name: 'Stop' }).click();
  await expect(gaps).not.toContainText('Crank 250°');
  // Everything back.
  await page.getByRole('button', { name: 'As the sheet has it' }).click();
  await expect(row).toContainText('hits');
});

test('the picture is saved as SVG, PNG and slide', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/mock-up/${await bench.swapAddress('heron-with-bittern-head')}`);
  await expect(page.getByTestId('gaps')).toContainText('Exhaust valve to block');
  await page.getByText('Save the picture').click();
  const saved = async (name: string) => {
    const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name, exact: true }).click()]);
    const path = join(OUT, download.suggestedFilename());
    await download.saveAs(path);
    return readFileSync(path);
  };
  const svg = (await saved('SVG')).toString();
  expect(svg).toContain('<svg');
  expect(svg).not.toContain('var(');
  for (const [name, width, height] of [
    ['Slide 1920 × 1080, light', 1920, 1080],
    ['Slide 1920 × 1080, dark', 1920, 1080],
  ] as const) {
    const png = await saved(name);
    expect([png.readUInt32BE(16), png.readUInt32BE(20)]).toEqual([width, height]);
  }
});

test('metric and inch at a click', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/verdict/${await bench.swapAddress('heron-with-bittern-head')}`);
  await expect(strip(page)).toContainText('5.30 mm');
  await page.getByRole('button', { name: 'inch' }).click();
  await expect(strip(page)).toContainText(' in lift');
  await expect(page.getByRole('row').filter({ hasText: 'Exhaust valve to block' })).toContainText('−0.050 in');
  await page.reload();
  await expect(strip(page)).toContainText(' in lift');
  await page.getByRole('button', { name: 'mm' }).click();
  await expect(strip(page)).toContainText('5.30 mm');
});

test('the main path with the keyboard alone', async ({ page, bench }) => {
  await page.goto(bench.url);
  await expect(page.getByRole('link', { name: 'Heron six, as it runs' })).toBeVisible();
  await page.keyboard.press('Tab');
  await expect(page.getByRole('link', { name: 'To the answer' })).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(page.locator('#main')).toBeFocused();
  const swap = page.getByRole('link', { name: 'Heron six with the Bittern head' });
  for (let n = 0; n < 30 && !(await swap.evaluate((link) => link === document.activeElement)); n += 1) await page.keyboard.press('Tab');
  await expect(swap).toBeFocused();
  await page.keyboard.press('Enter');
  await expect(strip(page)).toContainText('hits');
  const see = page.getByRole('link', { name: 'See it' });
  await expect(see).toBeVisible();
  for (let n = 0; n < 30 && !(await see.evaluate((link) => link === document.activeElement)); n += 1) await page.keyboard.press('Tab');
  // What has the focus is seen to have it.
  expect(await see.evaluate((link) => getComputedStyle(link).outlineStyle)).toBe('solid');
  await page.keyboard.press('Enter');
  const lift = page.getByRole('slider', { name: 'Lift, exhaust' });
  await expect(lift).toBeVisible();
  for (let n = 0; n < 60 && !(await lift.evaluate((slider) => slider === document.activeElement)); n += 1) await page.keyboard.press('Tab');
  await expect(lift).toBeFocused();
  await page.keyboard.press('Home');
  const row = page.getByTestId('gaps').getByRole('row').filter({ hasText: 'Exhaust valve to block' });
  await expect(row).not.toContainText('hits');
  await page.keyboard.press('End');
  await expect(row).toContainText('hits');
});

test('printed: the verdict and the findings, no controls', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/verdict/${await bench.swapAddress('heron-with-bittern-head')}`);
  await expect(page.getByRole('row').filter({ hasText: 'Exhaust valve to block' })).toBeVisible();
  await page.emulateMedia({ media: 'print' });
  await expect(page.getByRole('navigation', { name: 'Screens' })).toBeHidden();
  await expect(page.getByRole('button', { name: 'inch' })).toBeHidden();
  await expect(strip(page)).toBeVisible();
  await expect(page.getByText('Exhaust valve to block')).toBeVisible();
  await page.screenshot({ path: join(OUT, 'verdict-print.png'), fullPage: true });
  const pdf = await page.pdf({ path: join(OUT, 'verdict.pdf'), format: 'A4' });
  expect(pdf.length).toBeGreaterThan(10_000);
});

test.describe('on a tablet', () => {
  test.use({ viewport: { width: 820, height: 1180 }, hasTouch: true });
  test('no screen is wider than the tablet', async ({ page, bench }) => {
    const swap = await bench.swapAddress('heron-with-bittern-head');
    for (const screen of ['engines', 'verdict', 'mock-up', 'cut', 'volumes', 'motion', 'payoff', 'pulls', 'measure', 'readings', 'sheet', 'shelf']) {
      await page.goto(`${bench.url}/#/${screen}/${swap}`);
      await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
      if (screen === 'mock-up') await expect(page.getByTestId('gaps')).toContainText('Exhaust valve to block');
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      expect(over, screen).toBeLessThanOrEqual(0);
      if (['mock-up', 'readings'].includes(screen)) await page.screenshot({ path: join(OUT, `${screen}-tablet.png`), fullPage: true });
    }
  });
});

test('the server goes and comes back; what was typed meanwhile is not lost', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/readings/${await bench.idOf('builds', 'heron')}`);
  await expect(page.getByLabel('Bore, block', { exact: true })).toHaveValue('82.25 mm ± 0.01');
  await bench.stop();
  await fill(page, 'bore', 'block', '82.30 mm ± 0.01');
  await expect(page.getByText('The bench does not answer.')).toBeVisible();
  await page.screenshot({ path: join(OUT, 'server-gone.png') });
  await bench.start();
  await expect(page.getByText('The bench does not answer.')).toBeHidden();
  await expect(page.getByText('In the shop')).toBeVisible();
  const { text } = await bench.api<{ text: string }>('GET', `/api/builds/${await bench.idOf('builds', 'heron')}`);
  expect(text).toContain('bore = "82.30 mm ± 0.01"');
});

test('two tabs change one build: the second is told, and nothing is lost', async ({ page, bench, context }) => {
  const address = `${bench.url}/#/sheet/${await bench.idOf('builds', 'heron')}`;
  await page.goto(address);
  const mine = page.getByRole('textbox', { name: /heron/ });
  await expect(mine).toHaveValue(/bore = "82.25 mm/);
  const text = await mine.inputValue();
  await mine.fill(text.replace('82.25 mm', '82.40 mm'));
  const other = await context.newPage();
  await other.goto(address);
  const theirs = other.getByRole('textbox', { name: /heron/ });
  await expect(theirs).toHaveValue(/stroke = "77.4 mm/);
  const now = await theirs.inputValue();
  await theirs.fill(now.replace('82.40 mm', '82.25 mm').replace('77.4 mm', '77.8 mm'));
  await other.getByRole('button', { name: 'Put it into the shop' }).click();
  await expect(other.getByText(/As it is in the shop/)).toBeVisible();
  await page.bringToFront();
  await expect(page.getByText('Somebody else changed this sheet meanwhile')).toBeVisible();
  await page.screenshot({ path: join(OUT, 'two-tabs.png') });
  await page.getByRole('button', { name: 'Keep both' }).click();
  const kept = async () => {
    const builds = await bench.api<{ id: number; name: string }[]>('GET', '/api/builds');
    const herons = builds.filter(({ name }) => name.startsWith('heron'));
    const texts = await Promise.all(herons.map(async ({ id }) => (await bench.api<{ text: string }>('GET', `/api/builds/${id}`)).text));
    const has = (one: string, other: string) => texts.some((sheet) => sheet.includes(one) && sheet.includes(other));
    return has('82.40 mm', '77.4 mm') && has('77.8 mm', '82.25 mm');
  };
  await expect.poll(kept).toBe(true);
});

test('an empty shop, two hundred parts, very long names', async ({ page, bench }) => {
  for (const kind of ['pulls', 'swaps', 'builds'] as const) {
    for (const { id, revision } of await bench.api<{ id: number; revision: number }[]>('GET', `/api/${kind}`)) {
      await bench.api('DELETE', `/api/${kind}/${id}?revision=${revision}`);
    }
  }
  await page.goto(bench.url);
  await expect(page.getByText('The shop is empty.')).toBeVisible();
  await page.screenshot({ path: join(OUT, 'empty-shop.png') });
  const long = `Very-long-${'name-'.repeat(13)}x`;
  for (let n = 0; n < 200; n += 1) {
    const name = n === 0 ? long : `gasket ${n}`;
    await bench.api('POST', '/api/parts', { kind: 'gasket', name, text: 'thickness = "1.2 mm"' });
  }
  await bench.api('POST', '/api/builds', { name: 'long', text: HERON.replace('Heron six, as it runs', 'Heron '.repeat(40).trim()) });
  await page.goto(`${bench.url}/#/shelf`);
  await expect(page.getByRole('button', { name: 'Take off gasket 199' })).toBeVisible();
  await page.getByLabel('Find').fill('gasket 150');
  await expect(page.getByRole('button', { name: /Take off/ })).toHaveCount(1);
  await page.getByRole('button', { name: 'Take off gasket 150' }).click();
  await expect(page.getByText(/undo brings it back/)).toBeVisible();
  await page.getByRole('button', { name: /^Undo/ }).click();
  await expect(page.getByRole('button', { name: 'Take off gasket 150' })).toBeVisible();
  await page.goto(`${bench.url}/#/verdict/${await bench.idOf('builds', 'long')}`);
  await expect(strip(page)).toContainText('clear');
  const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  expect(over).toBeLessThanOrEqual(0);
  await page.screenshot({ path: join(OUT, 'long-name.png') });
});

test('the relief is applied: the cut sheet clears', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/cut/${await bench.swapAddress('heron-with-bittern-head')}`);
  await page.getByRole('button', { name: 'Make these cuts in a new swap' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('Does everything clear?');
  await expect(page.getByLabel('Engine', { exact: true })).toContainText('Heron six with the Bittern head, cut');
  await expect(page.getByRole('row').filter({ hasText: 'Exhaust valve to block' })).toContainText('clear');
  await page.screenshot({ path: join(OUT, 'verdict-after-cut.png') });
});

test('a pull runs with progress and is cancelled', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/payoff/${await bench.idOf('builds', 'heron')}`);
  await page.getByLabel('How finely').selectOption('fine');
  await page.getByRole('button', { name: 'Run the pull' }).click();
  await expect(page.getByRole('progressbar')).toBeVisible();
  await page.getByRole('button', { name: 'Cancel' }).click();
  await expect(page.getByText(/cancelled/).first()).toBeVisible({ timeout: 90_000 });
});

test('a pull survives a reload', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/payoff/${await bench.idOf('builds', 'heron')}`);
  await page.getByLabel('How finely').selectOption('normal');
  await page.getByRole('button', { name: 'Run the pull' }).click();
  await expect(page.getByRole('progressbar')).toBeVisible();
  await page.reload();
  await page.getByLabel('How finely').selectOption('normal');
  // It goes on, or has come to its end meanwhile; nobody has to start it again.
  const curve = page.getByRole('img', { name: /Predicted torque/ });
  await expect(page.getByRole('progressbar').or(curve)).toBeVisible();
  await page.screenshot({ path: join(OUT, 'payoff-running.png') });
  await expect(curve).toBeVisible({ timeout: 90_000 });
});

test('a pull comes to its curve', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/payoff/${await bench.idOf('builds', 'kestrel')}`);
  await page.getByRole('button', { name: 'Run the pull' }).click();
  const chart = page.getByRole('img', { name: /Predicted torque/ });
  await expect(chart).toHaveAttribute('aria-label', /as raced last season/, { timeout: 90_000 });
  // The arrow keys read it.
  await chart.focus();
  await page.keyboard.press('ArrowRight');
  await expect(page.getByText(/^at .* rpm$/)).toBeVisible();
  await page.screenshot({ path: join(OUT, 'pull-curve.png'), fullPage: true });
});

test('the cylinder turns as a solid', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/mock-up/${await bench.swapAddress('heron-with-bittern-head')}`);
  await page.getByRole('button', { name: 'Turn it in three dimensions' }).click();
  const canvas = page.locator('canvas');
  await expect(canvas).toBeVisible();
  // More than the ground is drawn on it.
  const colours = () =>
    canvas.evaluate((element) => {
      const small = document.createElement('canvas');
      small.width = 160;
      small.height = 90;
      const context = small.getContext('2d');
      context?.drawImage(element as HTMLCanvasElement, 0, 0, 160, 90);
      const data = context?.getImageData(0, 0, 160, 90).data ?? new Uint8ClampedArray();
      const seen = new Set<number>();
      for (let at = 0; at < data.length; at += 4) seen.add(((data[at] ?? 0) >> 4) * 256 + ((data[at + 1] ?? 0) >> 4) * 16 + ((data[at + 2] ?? 0) >> 4));
      return seen.size;
    });
  await expect.poll(colours).toBeGreaterThan(20);
  await page.getByRole('button', { name: 'Turn right' }).click();
  await canvas.scrollIntoViewIfNeeded();
  await page.screenshot({ path: join(OUT, 'solid.png') });
});

test('stored pulls are laid over each other, and one is left out', async ({ page, bench }) => {
  await page.goto(`${bench.url}/#/pulls`);
  const chart = page.getByRole('img', { name: /Measured torque/ });
  await expect(chart).toHaveAttribute('aria-label', /heron-a1 \(A\), .*heron-b3 \(B\)/);
  await expect(page.getByRole('img', { name: /Gain of B over A/ })).toBeVisible();
  await page.getByLabel('Compare heron-b3').uncheck();
  await expect(chart).not.toHaveAttribute('aria-label', /heron-b3/);
  await page.screenshot({ path: join(OUT, 'pulls-compared.png'), fullPage: true });
});
