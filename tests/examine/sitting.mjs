// A sitting by keyboard alone: a new piece, measurements with repeated readings, stitching, condition; entered whole.
// Prints every fault found as JSON.
import { join } from 'node:path';
import { reach } from '../pages/keyboard.mjs';
import { axe, browser, job } from '../pages/opened.mjs';

const faults = [];
const say = (check, says) => faults.push({ page: 'sitting', check, says });

const context = await browser.newContext({ bypassCSP: false, viewport: { width: 1280, height: 900 } });
const tab = await context.newPage();
tab.on('pageerror', (error) => say('script', error.message));
tab.on('console', (line) => { if (line.type() === 'error' && !/status of 4/.test(line.text())) say('console', line.text()); });

const keys = (...all) => all.reduce((last, key) => last.then(() => tab.keyboard.press(key)), Promise.resolve());
const type = (text) => tab.keyboard.type(text);
const until = (what, test, arg) => tab.waitForFunction(test, arg, { timeout: 15000 }).catch(() => say('never', what));
const kept = () => until('kept', () => document.getElementById('kept').textContent === 'Kept.');
const focused = () => tab.evaluate(() => document.activeElement?.id || document.activeElement?.className || document.activeElement?.tagName);

/** To a control by Tab, the focus seen at each stop on the way. */
const to = (selector) => reach(tab, tab.locator(selector), say);

async function look(name) {
  for (const width of [390, 820, 1280]) {
    for (const scheme of ['light', 'dark']) {
      await tab.setViewportSize({ width, height: 900 });
      await tab.emulateMedia({ colorScheme: scheme });
      const wide = await tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) say('wide', `${name} is ${wide} px too wide at ${width}`);
      // The policy of the pages holds for axe too: it is run in a world of its own.
      const session = await context.newCDPSession(tab);
      const { frameTree } = await session.send('Page.getFrameTree');
      const { executionContextId } = await session.send('Page.createIsolatedWorld', { frameId: frameTree.frame.id, worldName: 'axe' });
      const run = async (expression) => (await session.send('Runtime.evaluate', { expression, contextId: executionContextId, awaitPromise: true, returnByValue: true })).result.value;
      await run(axe);
      const violations = JSON.parse(await run(`axe.run(document, { rules: { 'target-size': { enabled: true } }, resultTypes: ['violations'] })
        .then((r) => JSON.stringify(r.violations.map((v) => [v.id, v.nodes.length, v.nodes[0].html.slice(0, 200), v.nodes[0].failureSummary])))`) ?? '[["axe did not run"]]');
      for (const violation of violations) say('axe', `${name} ${width} ${scheme}: ${violation.join(' | ')}`);
      await session.detach();
      if (scheme === 'light' || width === 820) await tab.screenshot({ path: join(job.out, `${name}-${width}-${scheme}.png`), fullPage: true });
    }
  }
  await tab.setViewportSize({ width: 1280, height: 900 });
  await tab.emulateMedia({ colorScheme: 'light' });
}

try {
  await tab.goto(job.link);
  await tab.goto(new URL('/examine', job.link).href);
  await look('begin');
  // By keyboard alone from here on.
  await to('#number');
  await type('2031.7');
  await keys('Tab');
  await type('spencer');
  await keys('Tab');
  await type('spencer');
  await keys('Enter');
  await tab.waitForSelector('#line');
  await until('the line has the focus', () => document.activeElement?.id === 'line');
  // What is expected is offered in the empty line.
  await keys('ArrowDown');
  await until('what is expected is offered', () => !document.getElementById('ways').hidden);
  await keys('Escape');
  await type('component: left front');
  await keys('Enter');
  await until('a line in the list', () => document.querySelectorAll('#lines .sit-line').length === 3);
  await type('centre ba');
  await until('terms are offered', () => document.querySelector('#ways b')?.textContent === 'centre back length');
  await look('offered');
  await to('#line');
  await tab.keyboard.press('End');
  await type('c');
  await until('terms are offered again', () => document.querySelector('#ways b')?.textContent === 'centre back length');
  await keys('ArrowDown', 'Enter');
  await type('15 1/4 in');
  await until('the quantity is echoed', () => /387\.\d ± 0\.9 mm/.test(document.getElementById('echo').textContent));
  await look('echo');
  await to('#line');
  await keys('Enter');
  await until('the measurement is a line', () => document.querySelectorAll('#lines .sit-line').length === 4);
  // Another reading with one key.
  await keys('ArrowUp', 'r');
  await until('the line is changed', () => /Change the line/.test(document.getElementById('line-name').textContent));
  await type('15 3/8');
  await until('the spread is shown', () => /2 readings/.test(document.getElementById('echo').textContent));
  await keys('Enter');
  await until('two readings stand', () => /15 3\/8 in/.test(document.querySelector('#lines .sit-line')?.textContent ?? ''));
  await type('stitch: side seam backstitch 9 per inch, hand');
  await keys('Enter');
  await until('the stitching is a line', () => document.querySelectorAll('#lines .sit-line').length === 5);
  await type('tear near the hem, left front, 12 mm, slight');
  await kept();
  await look('condition');
  await to('#line');
  await keys('Enter');
  await until('the condition is a line', () => document.querySelectorAll('#lines .sit-line').length === 6);
  await type('waist girth 27 in');
  await keys('Enter');
  await until('one line too many', () => document.querySelectorAll('#lines .sit-line').length === 7);
  await keys('Control+z');
  await until('it is undone', () => document.querySelectorAll('#lines .sit-line').length === 6);
  // All fields, by keyboard.
  await type('tear, 3 mm');
  await keys('F2');
  await until('all fields', () => !document.getElementById('fields').hidden);
  await look('fields');
  await keys('Escape');
  await until('back in the line', () => document.activeElement?.id === 'line');
  await keys('Control+a', 'Delete');
  await kept();
  // A mistake stands beside its line.
  await type('hem girth 27');
  await keys('Enter');
  await until('a line with a mistake', () => document.querySelectorAll('#lines .sit-line').length === 7);
  await keys('Control+Enter');
  await until('the mistake is said', () => document.querySelector('#lines .amiss') !== null);
  await look('refused');
  if (!(await focused()).includes('sit-open')) say('axe', 'a refusal does not lead to the line that is wrong');
  await keys('Delete');
  await until('it is removed', () => document.querySelectorAll('#lines .sit-line').length === 6);
  await tab.reload();
  await until('all of it is there after loading again', () => document.querySelectorAll('#lines .sit-line').length === 6);
  await look('list');
  await to('#line');
  await keys('Control+Enter');
  await until('it is entered', () => document.querySelector('h1')?.textContent === 'Entered');
  await look('entered');
  // Two windows, two drafts of one piece: the second to enter chooses.
  const draft = async (title) => {
    await tab.goto(new URL('/pieces/2031.7/examine', job.link).href);
    if (title === 'One title') await look('again');
    await to('#number');
    await keys('Enter');
    await tab.waitForSelector('#line');
    await until('the line has the focus', () => document.activeElement?.id === 'line');
    await type(`piece: title: ${title}`);
    await keys('Enter');
    await until('a reason is asked for', () => !document.getElementById('reason-part').hidden);
    await to('#reason');
    await type('label read again');
    await kept();
    return tab.url();
  };
  const [one, two] = [await draft('One title'), await draft('Another title')];
  for (const at of [one, two]) {
    await tab.goto(at);
    await to('#line');
    await keys('Control+Enter');
    if (at === one) await until('the first is entered', () => document.querySelector('h1')?.textContent === 'Entered');
  }
  await until('both versions are shown', () => !document.getElementById('meanwhile').hidden);
  await look('both');
  await to('#meanwhile input');
  await keys('Space');
  await to('#both-enter');
  await keys('Enter');
  await until('the second is entered', () => document.querySelector('h1')?.textContent === 'Entered');
} catch (error) {
  say('crash', error.stack ?? String(error));
  await tab.screenshot({ path: join(job.out, 'crash.png'), fullPage: true }).catch(() => {});
}
await browser.close();
console.log(JSON.stringify(faults));
