// A page on a screen: accessible, no wider than the window, complete without a network, quiet, and its records
// shown as text. Leaves a picture of each width behind.
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

// Off in axe-core unless asked for; WCAG 2.2, 2.5.8 asks for targets of 24 by 24 px.
const RULES = { 'target-size': { enabled: true } };

export async function onScreen(context, page, { out, axe, say }) {
  const tab = await context.newPage();
  watch(tab, say);
  for (const [nth, width] of page.widths.entries()) {
    await tab.setViewportSize({ width, height: 900 });
    if (nth === 0) await tab.goto(pathToFileURL(page.file).href, { waitUntil: 'load' });
    const { scroll, inner } = await tab.evaluate(() => ({
      scroll: document.documentElement.scrollWidth,
      inner: document.documentElement.clientWidth,
    }));
    if (scroll > inner) say('overflow', `at ${width} px the page is ${scroll} px wide in a window of ${inner} px: ${await widest(tab)}`);
    if (nth === 0) {
      await planted(tab, say);
      await tab.evaluate(axe);
    }
    const { violations } = await tab.evaluate((rules) => window.axe.run(document, { rules, resultTypes: ['violations'] }), RULES);
    for (const { id, help, nodes } of violations) {
      say('axe', `at ${width} px: ${id}: ${help}: ${nodes.length} time(s), first ${nodes[0].html.slice(0, 160)}: ${nodes[0].failureSummary}`);
    }
    if (page.pictures) await tab.screenshot({ path: join(out, `${page.name}-${width}.jpg`), fullPage: true, type: 'jpeg', quality: 80 });
  }
}

// What the page tries to fetch, and what it complains of. A page is one file, or links files beside it.
function watch(tab, say) {
  tab.on('request', (request) => {
    if (!/^(file|data|blob):/.test(request.url())) say('network', `fetches ${request.url().slice(0, 120)}`);
  });
  tab.on('requestfailed', (request) => {
    if (/^file:/.test(request.url())) say('network', `links ${request.url().slice(-120)}, which is not there`);
  });
  tab.on('pageerror', (error) => say('script', `script failed: ${error.message}`));
  tab.on('console', (line) => {
    if (line.type() === 'error' && !/Failed to load resource/.test(line.text())) say('script', `console: ${line.text().slice(0, 160)}`);
  });
  tab.on('dialog', (dialog) => {
    say('planted', `a record ran as script: ${dialog.message()}`);
    dialog.dismiss();
  });
}

// Records that hold HTML must stay text: no element may bear the mark that the test wrote into them.
async function planted(tab, say) {
  const found = await tab.evaluate(() => [...document.querySelectorAll('[data-planted]')].map((e) => e.parentElement?.outerHTML.slice(0, 160)));
  if (found.length > 0) say('planted', `${found.length} element(s) made from a record, first in ${found[0]}`);
  const pictures = await tab.evaluate(() => [...document.images].filter((i) => i.loading !== 'lazy' && i.naturalWidth === 0).map((i) => i.outerHTML.slice(0, 120)));
  for (const picture of pictures) say('network', `a picture does not show: ${picture}`);
}

async function widest(tab) {
  return tab.evaluate(() => {
    const edge = document.documentElement.clientWidth;
    const all = [...document.body.querySelectorAll('*')].filter((e) => e.getBoundingClientRect().right > edge + 0.5);
    return all.at(-1)?.outerHTML.slice(0, 120) ?? 'no element found';
  });
}
