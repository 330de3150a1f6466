// How long a browser takes to the first page of a collection that can be used; figures only, nothing is held to them.
//
//   dimity --in DIR serve          prints a link
//   node benches/first-page.mjs LINK
//
// Each round starts Chromium anew, with nothing cached. "usable": words were typed and the answer stands on the page; the
// script waits 120 ms for more letters before it asks.
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const tools = join(dirname(fileURLToPath(import.meta.url)), '../tests/.tools/package.json');
const { chromium } = createRequire(tools)('playwright-core');
const link = process.argv[2];
if (!link) {
  console.error('node benches/first-page.mjs LINK: the link is what `dimity serve` prints');
  process.exit(1);
}
const rounds = [];
for (let i = 0; i < 5; i += 1) {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
  const tab = await browser.newPage({ viewport: { width: 1280, height: 900 } });
  const begun = performance.now();
  await tab.goto(link, { waitUntil: 'commit' });
  await tab.waitForLoadState('domcontentloaded');
  const laidOut = performance.now() - begun;
  const before = await tab.locator('#sought').textContent();
  await tab.locator('#words').fill('silk 7');
  await tab.waitForFunction((was) => document.getElementById('sought').textContent !== was, before, { polling: 10 });
  const usable = performance.now() - begun;
  const [{ responseStart, domInteractive, loadEventEnd }] = await tab.evaluate(() => performance.getEntriesByType('navigation').map((n) => n.toJSON()));
  rounds.push({ responseStart, domInteractive, loadEventEnd, laidOut, usable });
  await browser.close();
}
for (const name of Object.keys(rounds[0])) {
  const times = rounds.map((round) => round[name]).sort((a, b) => a - b);
  console.log(`${name.padEnd(16)} median ${times[2].toFixed(0).padStart(5)} ms, worst ${times[4].toFixed(0).padStart(5)} ms`);
}
