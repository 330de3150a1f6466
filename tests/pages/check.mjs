// Opens pages in a real browser and prints every fault found, as JSON: [{page, check, says}].
// Called as `node check.mjs JOB.json`; the job names the tools, the pages and what each page is held to.
import { onPaper } from './paper.mjs';
import { onScreen } from './screen.mjs';
import { searching } from './search.mjs';
import { axe, browser, job } from './opened.mjs';

const faults = [];

async function one(page) {
  const say = (check, says) => faults.push({ page: page.name, check, says });
  const steps = [[page.widths.length > 0, onScreen], [page.search, searching], [page.paper.length > 0, onPaper]];
  for (const [wanted, step] of steps) {
    if (!wanted) continue;
    // A new context each time, so that no page sees what another left behind.
    const context = await browser.newContext({ bypassCSP: true });
    try {
      await step(context, page, { out: job.out, axe, say });
    } catch (error) {
      say('crash', `${step.name}: ${error.stack ?? error}`);
    } finally {
      await context.close();
    }
  }
}

const waiting = [...job.pages];
const hand = async () => {
  while (waiting.length > 0) await one(waiting.shift());
};
await Promise.all([hand(), hand()]);
await browser.close();
console.log(JSON.stringify(faults));
