// Opens the pages of a running workbench in a real browser and prints every fault found, as JSON: [{page, check, says}].
// Called as `node look.mjs JOB.json`; the job names the tools, the link of the terminal and the pages.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { reach } from '../pages/keyboard.mjs';
import { axe, base, browser, job } from '../pages/opened.mjs';

const rules = { 'target-size': { enabled: true } };
// The narrowest is that of WCAG 2.2, 1.4.10 (reflow): 320 CSS px, without scrolling to the side.
const narrowest = 320;
const widths = [390, 820, 1280];

const faults = [];

async function comeIn(options) {
  const context = await browser.newContext(options);
  const tab = await context.newPage();
  tab.setDefaultTimeout(20000);
  await tab.goto(job.link);
  return { context, tab };
}

function watch(tab, page) {
  const say = (check, says) => faults.push({ page, check, says });
  const own = [base, ...job.pages.filter(({ path }) => /^http/.test(path)).map(({ path }) => new URL(path).origin)];
  tab.removeAllListeners();
  tab.on('request', (request) => {
    if (!own.includes(new URL(request.url()).origin) && !request.url().startsWith('data:')) say('network', `fetches ${request.url().slice(0, 120)}`);
  });
  tab.on('pageerror', (error) => say('script', `script failed: ${error.message}`));
  tab.on('console', (line) => {
    // A refusal that a page is about is no fault of it.
    if (line.type() === 'error' && !/status of (401|404|409|422|429)/.test(line.text())) say('script', `console: ${line.text().slice(0, 200)}`);
  });
  return say;
}

// Opens a page and does there what leads to the state that is to be seen, by what a person sees: summaries, labels, buttons.
async function arrive(tab, { path, does = [], shows }) {
  const answer = await tab.goto(new URL(path, base).href, { waitUntil: 'networkidle' });
  let last = answer;
  for (const [act, name, value] of does) {
    if (act === 'open') await tab.locator('summary', { hasText: name }).first().click();
    if (act === 'fill') await tab.getByLabel(name).first().fill(value);
    if (act === 'choose') await tab.getByLabel(name).first().setInputFiles({ name: 'sheet.toml', mimeType: 'text/plain', buffer: Buffer.from(value) });
    if (act === 'press') {
      [last] = await Promise.all([
        tab.waitForNavigation({ waitUntil: 'networkidle' }),
        tab.getByRole('button', { name, exact: true }).first().click(),
      ]);
    }
  }
  if (shows) await tab.locator('main', { hasText: shows }).waitFor();
  return last;
}

async function tooWide(tab, width, say) {
  const { wide, what } = await tab.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    const out = [...document.body.querySelectorAll('*')].filter((e) => e.getBoundingClientRect().right > clientWidth + 0.5);
    return { wide: scrollWidth - clientWidth, what: out.at(-1)?.outerHTML.slice(0, 120) };
  });
  if (wide > 0) say('overflow', `at ${width} px the page is ${wide} px too wide: ${what}`);
}

async function byAxe(tab, name, how) {
  if (!(await tab.evaluate(() => 'axe' in window))) await tab.evaluate(axe);
  const { violations } = await tab.evaluate((r) => window.axe.run({ exclude: ['iframe'] }, { rules: r, resultTypes: ['violations'] }), rules);
  for (const { id, help, nodes } of violations) {
    faults.push({ page: name, check: 'axe', says: `${how}: ${id}: ${help}: ${nodes[0].html.slice(0, 160)}: ${nodes[0].failureSummary}` });
  }
}

// Each page is opened once and the window made wider and narrower, as a person does.
async function see(options, sizes, look) {
  const { context, tab } = await comeIn(options);
  for (const page of job.pages) {
    const say = watch(tab, page.name);
    try {
      await tab.setViewportSize({ width: sizes[0], height: 900 });
      await arrive(tab, page);
      for (const width of sizes) {
        await tab.setViewportSize({ width, height: 900 });
        await look(tab, page.name, width, say);
      }
    } catch (error) {
      say('crash', `${JSON.stringify(options)}: ${error.message.slice(0, 300)}`);
    }
  }
  await context.close();
}

// Most of the time goes by in waiting for a page to come to rest: several looks go on at once.
const looks = [];

// As a person sees it, within the page's own policy: width, console, network.
for (const [colorScheme, sizes] of [['light', [narrowest, ...widths]], ['dark', [390, 1280]]]) {
  looks.push(() => see({ colorScheme }, sizes, async (tab, name, width, say) => {
    await tooWide(tab, width, say);
    if (width !== narrowest) await tab.screenshot({ path: join(job.out, `${name}-${width}-${colorScheme}.jpg`), fullPage: true, type: 'jpeg', quality: 80 });
  }));
}

// With axe, which the policy would keep out. Colours are the same at all widths: dark is looked at in one.
for (const [colorScheme, sizes] of [['light', widths], ['dark', [820]]]) {
  looks.push(() => see({ colorScheme, bypassCSP: true }, sizes, (tab, name, width) => byAxe(tab, name, `${colorScheme}, ${width} px`)));
}

// Without a script the pages read; what the server sent is kept for the checker of HTML.
looks.push(async () => {
  const { context, tab } = await comeIn({ javaScriptEnabled: false });
  for (const page of job.pages) {
    const { name } = page;
    const answer = await arrive(tab, page).catch((error) => faults.push({ page: name, check: 'crash', says: `without a script: ${error.message.slice(0, 300)}` }));
    if (!answer?.body) continue;
    writeFileSync(join(job.saved, `${name}.html`), await answer.body());
    if ((await tab.locator('main').innerText()).trim().length < 20) faults.push({ page: name, check: 'script', says: 'shows nothing without a script' });
  }
  await context.close();
});

const hand = async () => {
  while (looks.length > 0) await looks.shift()();
};
await Promise.all([hand(), hand(), hand()]);

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
    await reach(tab, button, say);
    await press('Enter');
    await line.locator('form.mending').waitFor();
    await reach(tab, line.getByLabel('extent', { exact: true }), say);
    await press('Control+A');
    await tab.keyboard.type('banana');
    await reach(tab, line.getByLabel(/^Why it is corrected/), say);
    await tab.keyboard.type('measured again');
    await press('Enter');
    await line.locator('.amiss', { hasText: 'banana' }).waitFor();
    if (await line.getByLabel('extent', { exact: true }).inputValue() !== 'banana') say('script', 'what was typed is gone');
    await reach(tab, line.getByLabel('extent', { exact: true }), say, { key: 'Shift+Tab' });
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
