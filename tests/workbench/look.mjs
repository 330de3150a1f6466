// Opens the pages of a running workbench in a real browser and prints every fault found, as JSON: [{page, check, says}].
// Called as `node look.mjs JOB.json`; the job names the tools, the link of the terminal and the pages.
import { createRequire } from 'node:module';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const job = JSON.parse(readFileSync(process.argv[2], 'utf8'));
const { chromium } = createRequire(join(job.tools, 'package.json'))('playwright-core');
const axe = readFileSync(join(job.tools, 'node_modules/axe-core/axe.min.js'), 'utf8');
const base = new URL(job.link).origin;
const rules = { 'target-size': { enabled: true } };
mkdirSync(job.out, { recursive: true });

const browser = await chromium.launch({
  executablePath: job.chromium,
  args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
const faults = [];

async function comeIn(options) {
  const context = await browser.newContext(options);
  const tab = await context.newPage();
  await tab.goto(job.link);
  return { context, tab };
}

function watch(tab, page) {
  const say = (check, says) => faults.push({ page, check, says });
  tab.removeAllListeners();
  tab.on('request', (request) => {
    if (!request.url().startsWith(base) && !request.url().startsWith('data:')) say('network', `fetches ${request.url().slice(0, 120)}`);
  });
  tab.on('pageerror', (error) => say('script', `script failed: ${error.message}`));
  tab.on('console', (line) => {
    // A refusal that a page is about is no fault of it.
    if (line.type() === 'error' && !/status of (404|409|422)/.test(line.text())) say('script', `console: ${line.text().slice(0, 200)}`);
  });
  return say;
}

// As a person sees it, within the page's own policy: width, console, network.
for (const colorScheme of ['light', 'dark']) {
  const { context, tab } = await comeIn({ colorScheme });
  for (const { name, path } of job.pages) {
    const say = watch(tab, name);
    for (const width of colorScheme === 'light' ? [390, 820, 1280] : [390, 1280]) {
      await tab.setViewportSize({ width, height: 900 });
      await tab.goto(base + path, { waitUntil: 'networkidle' });
      const wide = await tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) say('overflow', `at ${width} px the page is ${wide} px too wide`);
      await tab.screenshot({ path: join(job.out, `${name}-${width}-${colorScheme}.png`), fullPage: true });
    }
  }
  await context.close();
}

// With axe, which the policy would keep out.
for (const colorScheme of ['light', 'dark']) {
  const { context, tab } = await comeIn({ colorScheme, bypassCSP: true });
  for (const { name, path } of job.pages) {
    for (const width of [390, 1280]) {
      await tab.setViewportSize({ width, height: 900 });
      await tab.goto(base + path, { waitUntil: 'networkidle' });
      await tab.evaluate(axe);
      const { violations } = await tab.evaluate((r) => window.axe.run({ exclude: ['iframe'] }, { rules: r, resultTypes: ['violations'] }), rules);
      for (const { id, help, nodes } of violations) {
        faults.push({ page: name, check: 'axe', says: `${colorScheme}, ${width} px: ${id}: ${help}: ${nodes[0].html.slice(0, 160)}: ${nodes[0].failureSummary}` });
      }
    }
  }
  await context.close();
}

// Without a script the pages read; what the server sent is kept for the checker of HTML.
{
  const { context, tab } = await comeIn({ javaScriptEnabled: false });
  for (const { name, path } of job.pages) {
    const answer = await tab.goto(base + path);
    writeFileSync(join(job.saved, `${name}.html`), await answer.body());
    if ((await tab.locator('main').innerText()).trim().length < 20) faults.push({ page: name, check: 'script', says: 'shows nothing without a script' });
  }
  await context.close();
}

// A correction by keyboard alone.
{
  const { context, tab } = await comeIn({ viewport: { width: 1280, height: 900 } });
  const say = watch(tab, 'correction');
  const press = async (key, times = 1) => {
    for (let i = 0; i < times; i += 1) await tab.keyboard.press(key);
  };
  try {
    await tab.goto(base + job.correct);
    const line = tab.locator('.record-line[data-section="condition"]').first();
    const button = line.getByRole('button', { name: /^Correct/ });
    await button.focus();
    const outlined = await button.evaluate((b) => getComputedStyle(b).outlineStyle !== 'none');
    if (!outlined) say('axe', 'the focus on a button is not seen');
    await press('Enter');
    await line.locator('form.mending').waitFor();
    await line.getByLabel('extent', { exact: true }).focus();
    await press('Control+A');
    await tab.keyboard.type('banana');
    await line.getByLabel(/^Why it is corrected/).focus();
    await tab.keyboard.type('measured again');
    await press('Enter');
    await line.locator('.amiss', { hasText: 'banana' }).waitFor();
    if (await line.getByLabel('extent', { exact: true }).inputValue() !== 'banana') say('script', 'what was typed is gone');
    await line.getByLabel('extent', { exact: true }).focus();
    await press('Control+A');
    await tab.keyboard.type('19,5 mm');
    await press('Enter');
    await tab.locator('#done', { hasText: 'entered' }).waitFor();
    await tab.locator('.record-line', { hasText: '19,5 mm' }).getByText('What stood before: 1').waitFor();
  } catch (error) {
    say('crash', `correcting by keyboard: ${error.message.slice(0, 300)}`);
  }
  await context.close();
}

await browser.close();
console.log(JSON.stringify(faults));
