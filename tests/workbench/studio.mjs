// Takes photographs in, draws on one and measures in a real browser, and prints every fault found, as JSON: [{page, check, says}].
// Called as `node studio.mjs JOB.json`; the job names the tools, the link of the terminal, the piece, the files and what is expected.
import { readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { axe, base, browser, job } from '../pages/opened.mjs';

const faults = [];
let page = 'photographs';
const say = (check, says) => faults.push({ page, check, says });

async function comeIn(options) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const tab = await context.newPage();
  tab.on('pageerror', (error) => say('script', `script failed: ${error.message}`));
  tab.on('console', (line) => {
    if (line.type() === 'error' && !/status of (400|404|409|422)/.test(line.text())) say('script', `console: ${line.text().slice(0, 200)}`);
  });
  await tab.goto(job.link);
  return { context, tab };
}

// The window on a picture: what it shows, where its parts lie on the screen, and a wait for it to change.
async function watched(on) {
  const box = async () => (await on.locator('#picture').getAttribute('viewBox')).split(' ').map(Number);
  const across = (x, y, way) => on.evaluate(([px, py, there]) => {
    const matrix = document.getElementById('picture').getScreenCTM();
    const place = new DOMPoint(px, py).matrixTransform(there === 'in' ? matrix.inverse() : matrix);
    return [place.x, place.y];
  }, [x, y, way]);
  const at = (right, down) => on.evaluate(([r, d]) => {
    const svg = document.getElementById('picture');
    svg.scrollIntoView({ block: 'center' });
    const { left, top, width, height } = svg.getBoundingClientRect();
    // Whole pixels, as a wheel tells them.
    return [Math.round(left + width * r), Math.round(top + height * d)];
  }, [right, down]);
  async function until(what, test) {
    for (let i = 0; i < 40; i += 1) {
      const now = await box();
      if (test(now)) return now;
      await on.waitForTimeout(50);
    }
    say('script', `never: ${what}: ${await box()}`);
    return box();
  }
  return { box, at, until, under: (x, y) => across(x, y, 'in') };
}

const { context, tab } = await comeIn({});
let address = '';
try {
  // Two files are dropped, one of them broken: the broken one is told, the other one is there.
  await tab.goto(`${base}${job.piece}/photographs`);
  await tab.getByLabel('View').selectOption('front');
  const files = job.files.map((file) => ({ name: basename(file), bytes: readFileSync(file).toString('base64') }));
  const drop = (list) => tab.evaluate((all) => {
    const data = new DataTransfer();
    for (const { name, bytes } of all) data.items.add(new File([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))], name));
    document.getElementById('drop').dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }));
  }, list);
  // On a slow line each file tells how far it has come: from nothing to all of it, then that it is being stored.
  const session = await context.newCDPSession(tab);
  const bytes = readFileSync(job.files[1]).length;
  const line = { offline: false, latency: 0, downloadThroughput: -1 };
  await session.send('Network.enable');
  await session.send('Network.emulateNetworkConditions', { ...line, uploadThroughput: Math.max(bytes / 2, 1) });
  await tab.evaluate(() => {
    window.told = [];
    const look = () => {
      for (const item of document.querySelectorAll('.coming > li')) {
        const [bar, state] = [item.querySelector('progress'), item.querySelector('.coming-state')];
        window.told.push({ name: item.querySelector('.coming-name').textContent, state: state.textContent, far: bar && !bar.hidden ? bar.value : null });
      }
    };
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
  });
  await drop(files);
  await tab.locator('.coming-tally', { hasText: '1 added, 1 not added' }).waitFor();
  await session.send('Network.emulateNetworkConditions', { ...line, uploadThroughput: -1 });
  const told = (await tab.evaluate(() => window.told)).filter(({ name }) => name === basename(job.files[1]));
  const far = told.filter(({ state }) => state === 'sending').map((one) => one.far);
  if (!far.some((value) => value > 0 && value < 1)) say('script', `a file on its way does not tell how far it has come: ${JSON.stringify(far)}`);
  if (far.some((value, n) => n > 0 && value < far[n - 1])) say('script', `the progress goes back: ${JSON.stringify(far)}`);
  if (!told.some(({ state, far: at }) => state.includes('checked and stored') && at === null)) say('script', 'it is not told that a file is being stored');
  const failed = await tab.locator('.coming-failed').innerText();
  if (!failed.includes(basename(job.files[0]))) say('script', `the broken file is not told by its name: ${failed}`);
  await drop([files[1]]);
  await tab.locator('.coming-tally', { hasText: '1 known already' }).waitFor();
  await tab.screenshot({ path: join(job.out, 'photographs-added.png'), fullPage: true });
  address = await tab.locator('.coming-added a').getAttribute('href');

  page = 'draw';
  await tab.goto(`${base}${address}/draw`);
  const point = async ([x, y], on = tab) => {
    const at = await on.evaluate(([px, py]) => {
      const svg = document.getElementById('picture');
      svg.scrollIntoView({ block: 'center' });
      const place = new DOMPoint(px, py).matrixTransform(svg.getScreenCTM());
      return [place.x, place.y];
    }, [x, y]);
    await on.mouse.click(...at);
  };
  const figure = async (pattern, on = tab) => {
    await on.locator('#draft-figures li', { hasText: pattern }).first().waitFor();
    return Number((await on.locator('#draft-figures li').first().innerText()).split(/\s/)[0]);
  };

  // A bar is looked for and offered: nine blocks, dark at both ends. Nothing is set by that.
  await tab.getByRole('button', { name: 'Look for a bar' }).click();
  await tab.locator('#sought-scale', { hasText: 'May be a bar' }).waitFor();
  if (await tab.locator('#size').inputValue() !== '9 cm') say('script', 'the length of the bar that was found is not offered');
  const offered = await figure('px/mm');
  if (Math.abs(offered / job.scale - 1) > 0.01) say('script', `the bar found gives ${offered} px/mm and should give ${job.scale}`);
  await tab.getByRole('button', { name: 'Discard' }).last().click();
  await tab.getByLabel('Look', { exact: true }).check();

  // The scale has a known answer. Another window is open on the same photograph.
  const late = await context.newPage();
  await late.goto(tab.url());
  await tab.getByLabel('Scale by a length').check();
  for (const end of job.bar) await point(end);
  await tab.getByLabel('How long it is').fill(job.length);
  await tab.getByLabel('How far it may be out, either way').fill('0,1 mm');
  const scale = await figure('px/mm');
  if (Math.abs(scale / job.scale - 1) > 0.01) say('script', `the scale is ${scale} px/mm and should be ${job.scale}`);
  await tab.screenshot({ path: join(job.out, 'draw-scale.png'), fullPage: true });
  await tab.getByRole('button', { name: 'Set the scale' }).click();
  await tab.locator('#done', { hasText: 'The scale is set' }).waitFor();
  // There the other scale is told beside one's own, and nothing is set before one of them was chosen.
  const wrongly = async () => {
    await late.getByLabel('Scale by a length').check();
    for (const end of job.bar) await point(end, late);
    await late.getByLabel('How long it is').fill('3 in');
    await figure('px/mm', late);
    await late.locator('#set-scale').click();
  };
  await wrongly();
  await late.locator('#scale-theirs li', { hasText: job.length.replace(',', '.') }).or(late.locator('#scale-theirs li', { hasText: job.length })).first().waitFor();
  const mine = await late.locator('#scale-mine').innerText();
  if (!mine.includes('3 in')) say('script', `one's own scale is not told beside the other: ${mine}`);
  if (await late.locator('#set-scale').innerText() !== 'Set yours in its place') say('script', 'the button does not say what it does now');
  await late.screenshot({ path: join(job.out, 'draw-scale-both.png'), fullPage: true });
  await late.getByRole('button', { name: 'Leave it as it is set' }).click();
  await late.locator('#recorded li', { hasText: 'px/mm' }).first().waitFor();
  await late.close();

  // An outline that crosses itself is refused; its places are taken back, and put again.
  await tab.getByLabel('Outline', { exact: true }).check();
  const [a, b, c, d] = job.damage;
  for (const place of [a, c, b, d]) await point(place);
  await tab.locator('#draft-amiss', { hasText: 'crosses' }).waitFor();
  for (let i = 0; i < 3; i += 1) await tab.getByRole('button', { name: 'Undo' }).click();
  for (const place of [b, c]) await point(place);
  await figure('cm²');
  // The last place by keys alone.
  await tab.locator('#easel').focus();
  await tab.keyboard.press('ArrowLeft');
  const cross = () => tab.locator('#cross-at').innerText().then((text) => text.split(', ').map(Number));
  for (let i = 0; i < 400; i += 1) {
    const [x, y] = await cross();
    const [dx, dy] = [d[0] - x, d[1] - y];
    if (Math.abs(dx) < 1 && Math.abs(dy) < 1) break;
    const far = Math.abs(dx) > 60 || Math.abs(dy) > 60 ? '' : 'Control+';
    const key = Math.abs(dx) >= Math.abs(dy) ? (dx > 0 ? 'ArrowRight' : 'ArrowLeft') : (dy > 0 ? 'ArrowDown' : 'ArrowUp');
    await tab.keyboard.press(far + key);
  }
  await tab.keyboard.press('Enter');
  await tab.locator('#draft-figures li', { hasText: /^(1[.,][89]|2[.,])/ }).first().waitFor();
  const area = await figure('cm²');
  if (Math.abs(area / job.area - 1) > 0.03) say('script', `the area is ${area} cm² and should be ${job.area}`);
  if (!(await tab.locator('#draft-figures').innerText()).includes('plane of the bar only')) say('script', 'it is not said where the area holds');
  await tab.screenshot({ path: join(job.out, 'draw-outline.png'), fullPage: true });

  // Nearer and farther by wheel, drag and keys: what lies under the pointer stays there, and nothing is set by that.
  const seen = await watched(tab);
  const whole = await seen.box();
  const [right, down] = await seen.at(0.35, 0.6);
  await tab.mouse.move(right, down);
  const under = await seen.under(right, down);
  await tab.mouse.wheel(0, -400);
  const close = await seen.until('the wheel forward comes nearer', (box) => box[2] < whole[2] * 0.9);
  const still = await seen.under(right, down);
  if (Math.hypot(under[0] - still[0], under[1] - still[1]) > 1) say('script', `the wheel moves ${under} away from under the pointer, to ${still}`);
  await tab.mouse.down();
  await tab.mouse.move(right + 90, down + 40, { steps: 4 });
  await tab.mouse.up();
  const panned = await seen.until('dragging moves the window', (box) => box[0] < close[0]);
  const carried = await seen.under(right + 90, down + 40);
  if (Math.hypot(carried[0] - still[0], carried[1] - still[1]) > 1.5) say('script', `dragging carries ${still} to where ${carried} is`);
  if (Math.abs(panned[2] - close[2]) > 0.01) say('script', 'dragging changes how near one is');
  await tab.mouse.wheel(0, 150);
  await seen.until('the wheel backward goes farther', (box) => box[2] > panned[2] * 1.05);
  await tab.locator('#easel').focus();
  await tab.keyboard.press('0');
  await seen.until('0 shows the whole', (box) => box.every((n, i) => Math.abs(n - whole[i]) < 0.01));
  await tab.keyboard.press('+');
  await seen.until('+ comes nearer by a quarter', (box) => Math.abs(box[2] * 1.25 - whole[2]) < 0.5);
  await tab.keyboard.press('-');
  await seen.until('- goes back', (box) => Math.abs(box[2] - whole[2]) < 0.5);
  if (await tab.locator('.draft-dot').count() !== 4) say('script', 'coming nearer or dragging set a place');

  await tab.getByLabel('What it shows').selectOption({ label: await tab.locator('#shows option', { hasText: 'Condition' }).first().innerText() });
  await tab.getByRole('button', { name: 'Keep it' }).click();
  await tab.locator('#done', { hasText: 'is kept' }).waitFor();
  const kept = await tab.locator('.drawn-list').innerText();
  if (!/cm²/.test(kept) || !/tear/i.test(kept)) say('script', `the kept region does not say its note and its size: ${kept}`);
  await tab.screenshot({ path: join(job.out, 'draw-kept.png'), fullPage: true });

  // A line at a known scale has a known length, and is tied to the measurement that it shows.
  await tab.getByLabel('Line', { exact: true }).check();
  for (const place of job.line) await point(place);
  const length = await figure(/mm|cm/);
  const unit = /^[\d.,]+(?: ±\s*[\d.,]+)?\s*(mm|cm)/.exec((await tab.locator('#draft-figures li').first().innerText()).replaceAll('\u00a0', ' '))?.[1];
  const long = length * (unit === 'cm' ? 10 : 1);
  if (!unit || Math.abs(long / job.long - 1) > 0.02) say('script', `the line is ${long} mm and should be ${job.long}: ${await tab.locator('#draft-figures').innerText()}`);
  await tab.getByLabel('What it shows').selectOption({ label: await tab.locator('#shows option', { hasText: /centre back length/i }).first().innerText() });
  await tab.getByRole('button', { name: 'Keep it' }).click();
  await tab.locator('.drawn-list li', { hasText: /centre back length/i }).filter({ hasText: /cm|mm/ }).waitFor();

  // What is pointed at stands in the field, and what is typed is drawn.
  page = 'area-colour';
  await tab.goto(`${base}${address}/colour`);
  for (const corner of job.corners) await point(corner);
  const near = (text, wanted) => text.split(/[ ,]/).every((n, i) => Math.abs(Number(n) - Number(wanted.split(',')[i])) <= 2);
  const area2 = await tab.getByLabel('Area, in pixels').inputValue();
  if (!near(area2, job.rectangle)) say('script', `pointing at ${job.rectangle} wrote ${area2}`);
  await tab.getByLabel('Area, in pixels').fill(job.rectangle);
  if (await tab.locator('.draft-dot').count() !== 2) say('script', 'what is typed is not drawn');
  await tab.getByRole('button', { name: 'Read the colour' }).click();
  await tab.getByText('over 20000 pixels').waitFor();
  await tab.getByLabel('Outline', { exact: true }).check();
  for (const place of job.damage) await point(place);
  if (!(await tab.getByLabel('Area, in pixels').inputValue()).startsWith('outline ')) say('script', 'an outline is not written as one');
  await tab.screenshot({ path: join(job.out, 'area-pointed.png'), fullPage: true });

  // A square by keys alone.
  page = 'threads';
  await tab.goto(`${base}${address}/threads`);
  await tab.locator('#easel').focus();
  await tab.keyboard.press('Enter');
  await tab.keyboard.press('Enter');
  for (let i = 0; i < 3; i += 1) await tab.keyboard.press('Shift+ArrowRight');
  await tab.keyboard.press('Enter');
  const square = await tab.getByLabel('Square, in pixels').inputValue();
  if (!/^\d+,\d+,[1-9]\d+$/.test(square)) say('script', `keys wrote the square ${square}`);
  await tab.keyboard.press('Backspace');
  if (await tab.getByLabel('Square, in pixels').inputValue() !== '') say('script', 'a place is not taken back');
} catch (error) {
  say('crash', error.message.slice(0, 400));
  await tab.screenshot({ path: join(job.out, 'crash.png'), fullPage: true });
}
await context.close();

// Two fingers: apart they come nearer by as much as they part, about the middle between them; together they go back.
if (address) {
  page = 'pinch';
  const hand = await comeIn({ hasTouch: true, viewport: { width: 820, height: 1180 } });
  try {
    await hand.tab.goto(`${base}${address}/draw`, { waitUntil: 'networkidle' });
    const seen = await watched(hand.tab);
    const touch = await hand.context.newCDPSession(hand.tab);
    const [x, y] = await seen.at(0.5, 0.5);
    const fingers = (type, apart) => touch.send('Input.dispatchTouchEvent', {
      type,
      touchPoints: apart === null ? [] : [{ x: x - apart / 2, y, id: 1 }, { x: x + apart / 2, y, id: 2 }],
    });
    const pinch = async (from, to) => {
      await fingers('touchStart', from);
      for (let i = 1; i <= 10; i += 1) await fingers('touchMove', from + ((to - from) * i) / 10);
      await fingers('touchEnd', null);
    };
    const whole = await seen.box();
    const middle = await seen.under(x, y);
    await pinch(100, 220);
    const near = await seen.until('two fingers apart come nearer', (box) => box[2] < whole[2] * 0.6);
    if (Math.abs(whole[2] / near[2] - 2.2) > 0.15) say('script', `fingers 2.2 times as far apart come ${whole[2] / near[2]} times as near`);
    const still = await seen.under(x, y);
    if (Math.hypot(middle[0] - still[0], middle[1] - still[1]) > 5) say('script', `the middle of the fingers moves from ${middle} to ${still}`);
    await pinch(220, 100);
    await seen.until('two fingers together go back', (box) => box[2] > whole[2] * 0.9);
    if (await hand.tab.locator('.draft-dot').count() !== 0) say('script', 'two fingers set a place');
  } catch (error) {
    say('crash', error.message.slice(0, 400));
  }
  await hand.context.close();
}

const looks = [['photographs', `${job.piece}/photographs`], ...(address ? [['draw', `${address}/draw`]] : []), ...job.pages];
for (const colorScheme of ['light', 'dark']) {
  const looking = await comeIn({ colorScheme, bypassCSP: true });
  for (const [name, path] of looks) {
    page = name;
    for (const width of [390, 820, 1280]) {
      await looking.tab.setViewportSize({ width, height: 900 });
      await looking.tab.goto(base + path, { waitUntil: 'networkidle' });
      const outline = looking.tab.getByLabel('Outline', { exact: true });
      if (name === 'draw') await outline.check();
      await looking.tab.evaluate(() => document.querySelectorAll('details').forEach((one) => { one.open = true; }));
      const wide = await looking.tab.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) say('overflow', `at ${width} px the page is ${wide} px too wide`);
      await looking.tab.screenshot({ path: join(job.out, `${name}-${width}-${colorScheme}.png`), fullPage: true });
      await looking.tab.evaluate(axe);
      const { violations } = await looking.tab.evaluate(() => window.axe.run(document, { rules: { 'target-size': { enabled: true } }, resultTypes: ['violations'] }));
      for (const { id, help, nodes } of violations) {
        say('axe', `${colorScheme}, ${width} px: ${id}: ${help}: ${nodes[0].html.slice(0, 160)}: ${nodes[0].failureSummary}`);
      }
    }
  }
  await looking.context.close();
}

// The slider of before and after: all to the left it shows the second, all to the right the first. The middle of the picture
// tells which, by the red that the two were made with.
{
  page = 'slider';
  const { context: beside, tab: laid } = await comeIn({});
  try {
    await laid.goto(base + job.pages.find(([name]) => name === 'overlay')[1], { waitUntil: 'networkidle' });
    const redAt = async (value) => {
      await laid.locator('.laid .slider input').first().fill(String(value));
      const shot = await laid.locator('.laid .stack').first().screenshot();
      return laid.evaluate(async (base64) => {
        const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], { type: 'image/png' }));
        const canvas = new OffscreenCanvas(picture.width, picture.height).getContext('2d');
        canvas.drawImage(picture, 0, 0);
        return canvas.getImageData(Math.floor(picture.width * 0.4), Math.floor(picture.height / 2), 1, 1).data[0];
      }, shot.toString('base64'));
    };
    for (const [value, red] of job.slider) {
      const shown = await redAt(value);
      if (Math.abs(shown - red) > 12) say('script', `with the slider at ${value} the middle has a red of ${shown}, not ${red}`);
    }
  } catch (error) {
    say('crash', error.message.slice(0, 400));
  }
  await beside.close();
}
await browser.close();
console.log(JSON.stringify(faults));
