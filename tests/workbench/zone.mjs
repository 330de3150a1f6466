// Moments by the clock of whoever reads: each page is opened by somebody far from the program's zone. No date with a clock time
// stands outside of `<time>`, all of them are told by the reader's clock, days of the calendar do not move; and without scripts
// each moment names its zone. Prints every fault found, as JSON: [{page, check, says}]. Called as `node zone.mjs JOB.json`; the job
// names the tools, the link of the terminal and the pages.
import { base, browser, job } from '../pages/opened.mjs';

const ZONE = 'Pacific/Auckland';
const faults = [];
const say = (page, says) => faults.push({ page, check: 'zone', says });

/** The moments of a page, and what looks like one outside of them. What somebody typed or a file says is left as it is. */
const found = () => {
  const like = /\b\d{1,2} (?:January|February|March|April|May|June|July|August|September|October|November|December) \d{4},? (?:at )?\d{1,2}:\d{2}|\b\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}/;
  const outside = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    if (!node.parentElement.closest('time, pre, textarea, script, kbd, [id^="try-"]') && like.test(node.data)) outside.push(node.data.trim());
  }
  const times = [...document.querySelectorAll('time[datetime]')].map((time) => [time.getAttribute('datetime'), time.textContent]);
  return { outside, times };
};

/** `27 November 2026, 14:05`, worked out beside the pages' own script. */
function local(at) {
  const parts = new Intl.DateTimeFormat('en-GB', { timeZone: ZONE, day: 'numeric', month: 'long', year: 'numeric', hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).formatToParts(new Date(at));
  const of = (type) => parts.find((part) => part.type === type).value;
  return `${of('day')} ${of('month')} ${of('year')}, ${of('hour')}:${of('minute')}`;
}

let seen = 0;
for (const javaScriptEnabled of [true, false]) {
  const context = await browser.newContext({ timezoneId: ZONE, javaScriptEnabled });
  const tab = await context.newPage();
  await tab.goto(job.link);
  if (javaScriptEnabled) await tab.goto(`${base}/safekeeping/check`).then(() => tab.getByRole('button', { name: 'Check', exact: true }).click()).then(() => tab.waitForURL(/work/));
  const work = new URL(tab.url()).pathname;
  for (const { name, path } of [...job.pages, ...(javaScriptEnabled ? [{ name: 'work', path: work }] : [])]) {
    await tab.goto(new URL(path, base).href, { waitUntil: 'load' });
    const { outside, times } = await tab.evaluate(found);
    outside.forEach((text) => say(name, `a moment stands outside of <time>: ${text.slice(0, 200)}`));
    seen += times.length;
    for (const [at, text] of times) {
      if (!at.includes('T')) {
        if (/\d:\d/.test(text)) say(name, `a day of the calendar got a clock time: ${text}`);
      } else if (javaScriptEnabled && text !== local(at)) say(name, `${at} is told as ${text}, and should be ${local(at)}`);
      else if (!javaScriptEnabled && !/, \d\d:\d\d [A-Z+-][\w+:-]*$/.test(text)) say(name, `${at} is told without its zone: ${text}`);
    }
  }
  await context.close();
}
if (seen < 10) say('all', `only ${seen} moments were seen`);
await browser.close();
console.log(JSON.stringify(faults));
