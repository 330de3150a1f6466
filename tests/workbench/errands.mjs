// What a person comes to the workbench for, from page to page in a real browser: pieces sought, two at work on one line, a
// report sealed, a comparison and the reason for a difference. Prints every fault found, as JSON: [{page, check, says}].
// Called as `node errands.mjs JOB.json`; the job names the tools, the link of the terminal, the pieces and what is expected.
import { join } from 'node:path';
import { axe, base, browser, job } from '../pages/opened.mjs';

const faults = [];
let page = '';
const say = (check, says) => faults.push({ page, check, says });

function watch(tab) {
  tab.setDefaultTimeout(15000);
  tab.on('pageerror', (error) => say('script', `script failed: ${error.message}`));
  tab.on('console', (line) => {
    if (line.type() === 'error' && !/status of 409/.test(line.text())) say('script', `console: ${line.text().slice(0, 200)}`);
  });
  return tab;
}

// With axe, which the policy of the pages would keep out.
const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, bypassCSP: true });
const tab = watch(await context.newPage());
await tab.goto(job.link);

async function errand(name, go) {
  page = name;
  try {
    await go();
  } catch (error) {
    say('crash', error.message.slice(0, 500));
    await tab.screenshot({ path: join(job.out, `crash-${name}.png`), fullPage: true });
  }
}

async function look(name) {
  for (const width of [320, 390, 820, 1280]) {
    await tab.setViewportSize({ width, height: 900 });
    const wide = await tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (wide > 0) say('overflow', `${name}: at ${width} px the page is ${wide} px too wide`);
    if (width === 320) continue;
    await tab.screenshot({ path: join(job.out, `${name}-${width}.png`), fullPage: true });
    await tab.evaluate(axe);
    const { violations } = await tab.evaluate(() => window.axe.run({ exclude: ['iframe'] }, { rules: { 'target-size': { enabled: true } }, resultTypes: ['violations'] }));
    for (const { id, help, nodes } of violations) say('axe', `${name}, ${width} px: ${id}: ${help}: ${nodes[0].html.slice(0, 160)}: ${nodes[0].failureSummary}`);
  }
}

await errand('sought', async () => {
  const { all, word, found, nature, ofNature } = job.collection;
  const leaves = [];
  tab.on('request', (request) => { if (request.url().includes('/collection/leaf')) leaves.push(new URL(request.url()).searchParams.get('page')); });
  await tab.goto(base, { waitUntil: 'networkidle' });
  const count = (many) => tab.locator(`.count-line[data-found="${many}"]`).waitFor();
  await count(all.length);

  // To the last piece at once: its leaf comes, those between wait until one comes near them.
  const lots = tab.locator('.lot-number');
  const first = await lots.count();
  if (first >= all.length) say('script', `all ${first} pieces are there before anyone scrolls`);
  await tab.evaluate(() => scrollTo(0, document.body.scrollHeight));
  await tab.locator('.lot-number', { hasText: all.at(-1) }).waitFor();
  // Then up through all of it.
  for (let i = 0; i < 400 && await tab.evaluate(() => scrollY > 0); i += 1) {
    await tab.mouse.wheel(0, -1500);
    await tab.waitForTimeout(30);
  }
  await tab.waitForFunction(() => document.querySelector('.lots.waiting') === null);
  const numbers = (await lots.allTextContents()).map((text) => text.trim());
  if (numbers.join() !== all.join()) say('script', `scrolling shows ${numbers.length} pieces of ${all.length}, or in another order: ${numbers.slice(0, 4)} … ${numbers.slice(-4)}`);
  if (new Set(leaves).size !== leaves.length) say('script', `leaves are asked for twice: ${leaves}`);

  // It counts while one types; nothing is sent.
  await tab.getByLabel('Words').click();
  await tab.keyboard.type(word, { delay: 20 });
  await count(found);
  if (!tab.url().endsWith(`/?words=${word}`)) say('script', `the address does not say what is sought: ${tab.url()}`);
  if (await tab.locator('#sought').innerText() !== `${found} found`) say('script', 'who listens is not told how many are found');
  if (!(await tab.getByLabel('Words').evaluate((field) => field === document.activeElement))) say('script', 'counting takes the focus away');
  for (let i = 0; i < word.length; i += 1) await tab.keyboard.press('Backspace');
  await count(all.length);
  await tab.getByLabel('Nature').selectOption({ label: `${nature} (${ofNature})` });
  await count(ofNature);
});

// Two windows at one line: the slower is shown both versions and chooses field by field.
await errand('both-versions', async () => {
  const line = (on) => on.locator('.record-line[data-section="overall"]').first();
  const open = async (on) => {
    await on.goto(base + job.piece);
    await line(on).getByRole('button', { name: /^Correct/ }).click();
    await line(on).locator('form.mending').waitFor();
  };
  const field = (on, name) => line(on).getByLabel(name, { exact: true });
  const write = async (on, fields) => {
    for (const [name, text] of Object.entries(fields)) await field(on, name).fill(text);
    await line(on).getByLabel(/^Why it is corrected/).fill('looked at again');
    await line(on).getByRole('button', { name: 'Enter the correction' }).click();
  };
  const other = watch(await context.newPage());
  await open(tab);
  await look('correcting');
  await open(other);
  await write(other, { statement: 'Sound; dusty.' });
  await other.locator('#done', { hasText: 'entered' }).waitFor();
  await write(tab, { statement: 'Sound, with a little dust.', grade: 'fair' });
  const both = line(tab).locator('.both-versions');
  await both.waitFor();
  const choice = (name, words) => both.getByRole('group', { name, exact: true }).getByLabel(words);
  const said = await both.innerText();
  for (const words of ['looked at again', 'theirs: Sound; dusty.', 'yours: Sound, with a little dust.', 'theirs: good', 'yours: fair']) {
    if (!said.includes(words)) say('script', `the two versions do not say “${words}”: ${said}`);
  }
  if (!(await choice('statement', 'yours: Sound, with').isChecked())) say('script', 'what was typed is not what stands chosen');
  if (await field(tab, 'statement').inputValue() !== 'Sound, with a little dust.') say('script', 'what was typed is gone');
  await look('both-versions');
  await choice('statement', 'theirs').check();
  if (await field(tab, 'statement').inputValue() !== 'Sound; dusty.') say('script', 'theirs is chosen, and yours stands in the field');
  await choice('statement', 'yours').check();
  if (await field(tab, 'statement').inputValue() !== 'Sound, with a little dust.') say('script', 'yours is chosen, and theirs stands in the field');
  await choice('statement', 'theirs').check();
  await line(tab).getByRole('button', { name: 'Enter the correction' }).click();
  await tab.locator('#done', { hasText: 'entered' }).waitFor();
  const now = await line(tab).innerText();
  if (!now.includes('Sound; dusty.') || !now.includes('fair') || !now.includes('What stood before: 2')) say('script', `after the choice stands: ${now}`);
  await other.close();
});

await errand('sealed', async () => {
  await tab.goto(`${base}${job.piece}/reports`);
  await tab.getByLabel('How much').selectOption({ label: 'one sheet' });
  await tab.getByRole('button', { name: 'Show' }).click();
  const sheet = tab.frameLocator('iframe.sheet-frame');
  await sheet.getByText('2031.1').first().waitFor();
  await tab.locator('summary', { hasText: 'Seal this report' }).click();
  await tab.getByRole('button', { name: 'Seal under this name' }).click();
  await tab.waitForURL('**/sealed/*');
  const code = (await tab.locator('.code.check').innerText()).trim();
  await sheet.getByText('2031.1').first().waitFor();
  await look('sealed');
  // The code leads back to it, as it would be typed from paper.
  await tab.goto(`${base}/seals`);
  await tab.getByLabel(/^Check code/).fill(code.toLowerCase());
  await tab.getByRole('button', { name: 'Bring it up' }).click();
  await tab.waitForURL(`**/sealed/${code}`);
});

await errand('compared', async () => {
  const { piece, beside, component, other, note } = job.comparison;
  await tab.goto(`${base}/comparison`);
  await tab.getByLabel('Piece', { exact: true }).fill(piece);
  await tab.getByLabel('Beside', { exact: true }).fill(beside);
  await tab.getByRole('button', { name: 'Compare' }).click();
  const heading = tab.getByRole('heading', { name: `${piece} beside ${beside}` });
  await heading.waitFor();
  const terms = async () => {
    const details = tab.locator('details.terms');
    if (!(await details.evaluate((one) => one.open))) await details.locator('summary').click();
  };
  await terms();
  const pair = tab.locator('.pairing').getByLabel(component);
  if (await pair.inputValue() !== '') say('script', 'something is paired that nobody paired');
  await pair.selectOption(await pair.locator('option', { hasText: other }).first().getAttribute('value'));
  await tab.getByRole('button', { name: 'Compare' }).click();
  await heading.waitFor();
  await terms();
  if (!(await pair.locator('option:checked').innerText()).includes(other)) say('script', 'the pair is not kept');
  await look('compared');
  const first = tab.locator('.explaining > li', { has: tab.locator('.to-explain') }).first();
  const what = await first.locator('b').innerText();
  await first.locator('summary').click();
  await first.getByLabel('Reason', { exact: false }).first().selectOption({ index: 1 });
  await first.getByLabel('In your own words').fill(note);
  await first.getByRole('button', { name: 'Record it' }).click();
  await tab.getByText(note).first().waitFor();
  await heading.waitFor();
  const left = await tab.locator('.explaining > li > b').allInnerTexts();
  if (left.includes(what)) say('script', `“${what}” still stands without a reason`);
});

await browser.close();
console.log(JSON.stringify(faults));
