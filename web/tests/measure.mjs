// Measures by hand what somebody waits for, for docs/performance/bench.md: `node tests/measure.mjs PROGRAM`. It decides no test.
import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';

import { chromium } from '@playwright/test';

const program = process.argv[2] ?? '../target/debug/headroom';
const folder = mkdtempSync(join(tmpdir(), 'headroom-measure-'));
const bench = spawn(program, ['bench', join(folder, 'shop.headroom'), '--no-open', '--port', '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
const url = await new Promise((resolve) => {
  let said = '';
  bench.stdout.on('data', (text) => {
    said += text.toString();
    const found = /http:\/\/[^\s]+/.exec(said);
    if (found) resolve(found[0]);
  });
});
const swaps = await (await fetch(`${url}/api/swaps`)).json();
const swap = swaps.find(({ name }) => name === 'heron-with-bittern-head');
if (!swap) throw new Error('the demo is missing');

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  chromiumSandbox: false,
  args: ['--no-sandbox', '--disable-dev-shm-usage', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'],
});

function told(name, times) {
  const sorted = [...times].sort((a, b) => a - b);
  const share = (of) => (sorted[Math.min(sorted.length - 1, Math.floor(of * sorted.length))] ?? NaN).toFixed(1);
  console.log(`${name}: median ${share(0.5)} ms, 95 % under ${share(0.95)} ms, longest ${share(1)} ms (${times.length})`);
}

// Cold: a browser that has seen nothing, to the first list of engines.
const first = [];
for (let n = 0; n < 5; n += 1) {
  const page = await (await browser.newContext()).newPage();
  const from = performance.now();
  await page.goto(url);
  await page.getByRole('link', { name: 'Heron six, as it runs' }).waitFor();
  first.push(performance.now() - from);
  await page.context().close();
}
told('first screen, nothing cached', first);

const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
await page.goto(`${url}/#/mock-up/${swap.build}/swap/${swap.id}`);
await page.getByTestId('gaps').getByText('Exhaust valve to block').waitFor();
async function moved(name, under) {
  await page.waitForTimeout(1500);
  const { drawn, framed, dyed } = await page.getByRole('slider', { name }).evaluate(async (element) => {
    const slider = element;
    const times = globalThis.headroomTimes;
    times.drawn.length = 0;
    times.framed.length = 0;
    times.dyed.length = 0;
    const [low, high] = [Number(slider.min), Number(slider.max)];
    for (let n = 0; n < 300; n += 1) {
      slider.value = `${low + (high - low) * (0.5 + 0.45 * Math.sin(n / 17))}`;
      slider.dispatchEvent(new Event('input', { bubbles: true }));
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    await new Promise((resolve) => setTimeout(resolve, 1000));
    return { drawn: [...times.drawn], framed: [...times.framed], dyed: [...times.dyed] };
  });
  told(`${name}${under}, hand to picture`, drawn);
  told(`${name}${under}, hand to frame`, framed);
  if (dyed.length) told(`${name}${under}, hand to dye`, dyed);
}

const sliders = ['Lift, exhaust', 'Head shifted to the front', 'Valve diameter, exhaust', 'Gasket thickness'];
for (const name of sliders) await moved(name, '');
await page.getByRole('button', { name: 'Paint with dye' }).click();
await page.getByTestId('dye').getByRole('img', { name: /unrolled/ }).waitFor();
for (const name of sliders) await moved(name, ' with the dye on');
await browser.close();
bench.kill();
rmSync(folder, { recursive: true, force: true });

const assets = join(import.meta.dirname, '../dist/assets');
let all = 0;
let solid = 0;
for (const file of readdirSync(assets)) {
  const size = gzipSync(readFileSync(join(assets, file))).length;
  if (/^solid|^Solid/.test(file)) solid += size;
  else all += size;
}
console.log(`all screens ${(all / 1000).toFixed(0)} kB compressed, the solid view ${(solid / 1000).toFixed(0)} kB more when asked for`);
