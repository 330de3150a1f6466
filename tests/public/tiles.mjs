// Opens the tiles of an IIIF export in OpenSeadragon 6 from a plain web server, and asks the server for every tile that the
// viewer would ever ask for. Called as `node tiles.mjs JOB.json`; prints {asked, faults}.
import { browser, job } from '../pages/opened.mjs';
import { ofPackage, serve } from './served.mjs';

const page = `<!DOCTYPE html><html lang="en"><title>tiles</title><script src="/osd.js"></script>
<div id="see" style="width:900px;height:700px"></div></html>`;
const server = await serve({
  '/viewer.html': () => page,
  '/osd.js': ofPackage('openseadragon/build/openseadragon/openseadragon.min.js'),
});
const tab = await browser.newPage({ viewport: { width: 920, height: 720 } });
const faults = [];
let asked = 0;
await tab.goto(`http://127.0.0.1:${job.port}/viewer.html`);
for (const [at, info] of job.infos.entries()) {
  const found = await tab.evaluate(async (info) => {
    const faults = [];
    document.querySelector('#see').replaceChildren();
    const viewer = OpenSeadragon({ id: 'see', showNavigationControl: false, animationTime: 0, immediateRender: true, drawer: 'canvas' });
    const opened = new Promise((done, failed) => {
      viewer.addOnceHandler('open', done);
      viewer.addOnceHandler('open-failed', (e) => failed(new Error(e.message)));
    });
    viewer.addHandler('tile-load-failed', (e) => faults.push(`not loaded: ${e.tile.getUrl()}`));
    viewer.open(info);
    await opened;
    const item = viewer.world.getItemAt(0);
    const settled = () => new Promise((done) => {
      if (item.getFullyLoaded()) return done();
      item.addOnceHandler('fully-loaded-change', done);
    });
    await settled();
    viewer.viewport.zoomTo(viewer.viewport.getMaxZoom(), undefined, true);
    await settled();
    viewer.viewport.goHome(true);
    await settled();
    const source = item.source;
    let asked = 0;
    for (let level = source.minLevel; level <= source.maxLevel; level += 1) {
      const tiles = source.getNumTiles(level);
      for (let x = 0; x < tiles.x; x += 1) {
        for (let y = 0; y < tiles.y; y += 1) {
          const url = source.getTileUrl(level, x, y);
          const answer = await fetch(url);
          asked += 1;
          if (!answer.ok) { faults.push(`${answer.status} for ${url}`); continue; }
          const picture = await createImageBitmap(await answer.blob());
          const [width, height] = url.match(/\/(\d+),(\d+)\/0\/default/)?.slice(1).map(Number) ?? [source.width, source.height];
          if (picture.width !== width || picture.height !== height) {
            faults.push(`${url} is ${picture.width} by ${picture.height}`);
          }
        }
      }
    }
    return { asked, faults };
  }, info).catch((error) => ({ asked: 0, faults: [`${info}: ${error.message}`] }));
  asked += found.asked;
  faults.push(...found.faults);
  if (at === 0) await tab.screenshot({ path: `${job.out}/tiles.png` });
}
await browser.close();
server.close();
console.log(JSON.stringify({ asked, faults }));
