// Opens the manifests and the collection of an IIIF export in TIFY, a viewer of IIIF in general, from a plain web server.
// Called as `node viewer.mjs JOB.json`; job.visits are [{name, open, from, choose}]: which document, from a page of this address, and
// the entry of the collection to choose then. Prints what was seen of each: {name: {listed, title, canvases, regions, tiles, faults}}.
import { browser, job } from '../pages/opened.mjs';
import { asked, ofPackage, sends, serve } from './served.mjs';

const page = `<!DOCTYPE html><html lang="en"><title>viewer</title><link rel="stylesheet" href="/viewer/tify.css">
<div id="see" style="height:700px"></div>
<script type="module">
import Tify from '/viewer/tify.js';
const manifestUrl = new URLSearchParams(location.search).get('open');
// Of a collection nothing is opened before it is chosen.
window.tify = new Tify({ container: '#see', manifestUrl, view: 'thumbnails', childManifestAutoloaded: false });
await window.tify.ready.catch((error) => console.error(String(error)));
document.body.dataset.ready = 'yes';
</script></html>`;
const server = await serve({
  '/viewer.html': () => page,
  '/viewer/tify.js': ofPackage('tify/dist/tify.js'),
  '/viewer/tify.css': ofPackage('tify/dist/tify.css'),
});

async function visit({ open, from, choose }) {
  const faults = [];
  asked.length = 0;
  sends.elsewhere = new URL(open).origin !== new URL(from).origin;
  const tab = await browser.newPage({ viewport: { width: 1100, height: 720 } });
  const known = [new URL(open).origin, new URL(from).origin];
  tab.on('request', (r) => { if (/^http/.test(r.url()) && !known.includes(new URL(r.url()).origin)) faults.push(`asked elsewhere: ${r.url()}`); });
  tab.on('console', (m) => { if (['error', 'warning'].includes(m.type())) faults.push(`${m.type()}: ${m.text()}`); });
  tab.on('pageerror', (e) => faults.push(`error: ${e.message}`));
  const fully = () => tab.waitForFunction(() => {
    const world = window.tify.viewer?.world;
    return world?.getItemCount() > 0 && world.getItemAt(0).getFullyLoaded();
  }, null, { timeout: 20_000 });
  const seen = {};
  try {
    await tab.goto(`${from}/viewer.html?open=${encodeURIComponent(open)}`);
    await tab.waitForSelector('body[data-ready]');
    seen.listed = (await tab.locator('.tify-collection-link').allInnerTexts()).map((text) => text.trim());
    if (choose) await tab.getByText(choose, { exact: true }).first().click();
    await fully();
    await tab.evaluate(() => window.tify.viewer.viewport.zoomTo(window.tify.viewer.viewport.getMaxZoom(), undefined, true));
    await fully();
    await tab.evaluate(() => window.tify.viewer.viewport.goHome(true));
    await fully();
    // It sets the last two words with a space that does not break.
    seen.title = (await tab.locator('.tify-header-title').innerText()).replace(/\s+/g, ' ');
    seen.canvases = await tab.locator('.tify-thumbnails-item').count();
    await tab.screenshot({ path: `${job.out}/${choose ? 'collection' : 'manifest'}.png` });
    await tab.evaluate(() => window.tify.setView('text'));
    seen.regions = await tab.locator('.tify-text-pages li').allInnerTexts();
  } catch (error) {
    faults.push(error.message);
    await tab.screenshot({ path: `${job.out}/failed.png` });
  }
  await tab.close();
  const own = asked.filter(({ path }) => path.startsWith('/c/'));
  faults.push(...asked.filter(({ status }) => status >= 300).map(({ path, status }) => `${status} for ${path}`));
  return { ...seen, tiles: own.filter(({ path }) => path.endsWith('default.jpg')).length, faults };
}

const seen = {};
for (const { name, ...what } of job.visits) seen[name] = await visit(what);
await browser.close();
server.close();
console.log(JSON.stringify(seen));
