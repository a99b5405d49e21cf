// Browser tests: the program that was built, over a new shop for every test, in the system's Chromium.
import { defineConfig } from '@playwright/test';

export default defineConfig({
  testDir: 'tests',
  outputDir: '../out/playwright',
  workers: 2,
  // Two busy cores can keep a screen waiting past its time; what passes only at the second go is told as flaky.
  retries: 1,
  timeout: 120_000,
  expect: { timeout: 30_000 },
  reporter: [['list']],
  use: {
    browserName: 'chromium',
    locale: 'en-US',
    timezoneId: 'UTC',
    viewport: { width: 1440, height: 900 },
    actionTimeout: 30_000,
    launchOptions: {
      executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
      chromiumSandbox: false,
      args: [
        '--no-sandbox',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        '--disable-dev-shm-usage',
        '--use-angle=swiftshader',
        '--enable-unsafe-swiftshader',
        '--ignore-gpu-blocklist',
        '--font-render-hinting=none',
        '--force-color-profile=srgb',
      ],
    },
  },
});
