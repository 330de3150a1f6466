// The program is killed while somebody types, and started again at the same port: what was typed meanwhile, and in a form that
// stood open, is there in the end. Prints every fault found, as JSON: [{page, check, says}]. Called as `node restart.mjs JOB.json`;
// the job names the program, the folder, its arguments, the entrance, the lines to write and by whom.
import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { browser, job } from '../pages/opened.mjs';

const faults = [];
const say = (check, says) => faults.push({ page: job.entrance, check, says });
const byAccount = job.entrance === 'accounts';

let program = null;
let base = '';
/** Starts it at a port, 0 for any that is free; gives where one comes in. */
async function start(port) {
  program = spawn(job.program, ['serve', ...job.arguments, byAccount ? `0.0.0.0:${port}` : `${port}`, job.folder], { stdio: ['ignore', 'pipe', 'inherit'] });
  for await (const said of createInterface({ input: program.stdout })) {
    const link = /http:\S+/.exec(said)?.[0].replace('0.0.0.0', '127.0.0.1');
    if (!link) continue;
    base = new URL(link).origin;
    return link;
  }
  throw new Error('it did not start');
}

async function comeIn(tab, link) {
  await tab.goto(link);
  if (!byAccount) return;
  await tab.getByLabel('Name').fill(job.name);
  await tab.getByLabel('Password').fill(job.password);
  await tab.getByRole('button', { name: 'Sign in' }).click();
  await tab.waitForURL((url) => url.pathname === '/');
}

const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
async function opened() {
  const tab = await context.newPage();
  tab.setDefaultTimeout(30000);
  tab.on('pageerror', (error) => say('script', `script failed: ${error.message}`));
  return tab;
}
const lines = (tab) => tab.locator('#lines .sit-line');
const listed = (tab, text) => lines(tab).filter({ hasText: text }).waitFor();
const away = (tab, words) => tab.locator('#away').filter({ hasText: words }).waitFor();

const tab = await opened();
try {
  const link = await start(0);
  const port = new URL(link).port;
  await comeIn(tab, link);
  if (!byAccount) {
    await tab.goto(`${base}/name`);
    await tab.getByLabel('Name').fill(job.name);
    await tab.getByRole('button', { name: 'Write under this name' }).click();
    await tab.waitForURL((url) => url.pathname === '/');
  }
  // A form that stands open, filled in.
  const form = await opened();
  await form.goto(`${base}/words/fibre/own`);
  await form.getByText('Add a term', { exact: true }).click();
  await form.getByLabel('The term').fill('gossamer');
  await form.getByLabel('What it means').fill('the thread of a spider');
  await form.getByLabel('Where that is written').fill('a label');
  const pressed = () => form.getByRole('button', { name: 'Add the term' }).click();

  await tab.bringToFront();
  await tab.goto(`${base}/examine`);
  await tab.locator('#number').fill('2031.7');
  await tab.locator('#nature').selectOption('extant');
  await tab.locator('#object_name').fill('spencer');
  await tab.locator('#number').press('Enter');
  await tab.locator('#line').waitFor();
  const type = (text) => tab.keyboard.type(text, { delay: 15 });
  const [one, two, three, four] = job.lines;
  await tab.locator('#line').focus();
  await type(one);
  await tab.keyboard.press('Enter');
  await listed(tab, 'one');
  const before = await lines(tab).count();

  // Killed in the middle of a line, as by `kill -9`. The line is ended, another one written, a third begun, with nobody there.
  await type(two.slice(0, 8));
  program.kill('SIGKILL');
  await type(two.slice(8));
  await tab.keyboard.press('Enter');
  await type(three);
  await tab.keyboard.press('Enter');
  await type(four.slice(0, 12));
  await away(tab, 'does not answer');
  await tab.locator('#going li').nth(1).waitFor();
  const waits = await tab.locator('#going li').allTextContents();
  if (waits.join('|') !== [two, three].join('|')) say('lost', `below the line wait: ${waits.join(' | ')}`);
  if ((await tab.locator('#line').inputValue()) !== four.slice(0, 12)) say('lost', 'what is being written is not in the line');
  for (const [width, scheme] of [[390, 'light'], [1280, 'dark']]) {
    await tab.setViewportSize({ width, height: 900 });
    await tab.emulateMedia({ colorScheme: scheme });
    await tab.screenshot({ path: join(job.out, `${job.entrance}-away-${width}-${scheme}.png`) });
  }
  await form.bringToFront();
  await pressed();
  await away(form, 'does not answer');
  await tab.bringToFront();

  const again = await start(port);
  await away(tab, byAccount ? 'You are not signed in' : 'Open the link');
  await tab.screenshot({ path: join(job.out, `${job.entrance}-unknown-1280-dark.png`) });
  if (byAccount) {
    // Somebody else signs in at this browser first: nothing is entered under the wrong name.
    const other = await opened();
    await other.goto(`${base}/sign-in`);
    await other.getByLabel('Name').fill('Tamsin Orrel');
    await other.getByLabel('Password').fill(job.password);
    await other.getByRole('button', { name: 'Sign in' }).click();
    await away(tab, 'Tamsin Orrel is signed in');
    await other.getByRole('button', { name: 'Sign out' }).click();
    await other.waitForURL((url) => url.pathname === '/sign-in');
    await other.close();
    await away(tab, 'You are not signed in');
  }
  const second = await opened();
  await comeIn(second, again);
  // The old window needs no more than that.
  await tab.bringToFront();
  await listed(tab, 'three');
  await tab.locator('#away').waitFor({ state: 'detached' });
  if ((await lines(tab).count()) !== before + 2) say('twice', `${await lines(tab).count()} lines, not ${before + 2}`);
  await tab.locator('#line').focus();
  await tab.keyboard.press('End');
  await type(four.slice(12));
  await tab.keyboard.press('Enter');
  await listed(tab, 'four');
  await tab.keyboard.press('Control+Enter');
  await tab.locator('h1', { hasText: 'Entered' }).waitFor();

  await form.bringToFront();
  await away(form, 'send it once more');
  if ((await form.getByLabel('The term').inputValue()) !== 'gossamer') say('lost', 'the form is blank');
  await pressed();
  await form.locator('main', { hasText: 'the thread of a spider' }).waitFor();
} catch (error) {
  say('crash', error.stack ?? String(error));
  await tab.screenshot({ path: join(job.out, `crash-${job.entrance}.png`), fullPage: true }).catch(() => {});
}
program?.kill('SIGKILL');
await browser.close();
console.log(JSON.stringify(faults));
