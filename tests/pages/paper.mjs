// A page on paper: printed by the browser, then read back with poppler and laid against the page's own text.
import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { align } from './align.mjs';
import { hiddenOnPaper, readPage } from './read-page.mjs';
import { letters, pieces, readPdf } from './read-pdf.mjs';

const SIZES = { a4: [595.28, 841.89], letter: [612, 792] }; // points; ISO 216 and ANSI/ASME Y14.1
const SLACK = 1.5; // points: side bearings and rounding
const UNPRINTABLE = 4 * 72 / 25.4; // points: the edge that office printers leave blank, common practice, no source

export async function onPaper(context, page, { out, say }) {
  for (const paper of page.paper) {
    const tab = await context.newPage();
    await tab.goto(pathToFileURL(page.file).href);
    const ofSize = (check, says) => say(check, page.paper.length > 1 ? `${paper.size}: ${says}` : says);
    await print(tab, paper, join(out, `${page.name}-${paper.size}.pdf`), ofSize);
    await tab.close();
  }
}

async function print(tab, paper, path, say) {
  const onScreen = JSON.parse(await tab.evaluate(readPage));
  await tab.emulateMedia({ media: 'print' });
  await tab.setViewportSize({ width: 690, height: 1000 });
  const text = JSON.parse(await tab.evaluate(readPage));
  // The style sheet decides on the size of paper; where it leaves that open, the printer does.
  await tab.pdf({ path, format: paper.size, preferCSSPageSize: true, printBackground: true, tagged: true });

  for (const lost of hiddenOnPaper(onScreen, text)) say('text', `on the screen, not on paper: ${lost}`);
  const sheets = readPdf(path);
  sheetSize(sheets, paper, say);
  const margins = text.margins;
  if (!margins) return say('size', 'no `@page` rule sets margins');
  await tooWide(tab, sheets[0].width - margins.left - margins.right, say);
  const body = sheets.flatMap((sheet, at) => marginText(sheet, at, sheets, margins, paper, say));
  const drawn = drawnOn(path);
  for (const [at] of sheets.entries()) {
    if (!drawn.includes(at) && !body.some((w) => w.sheet === at)) say('count', `sheet ${at + 1} is empty`);
  }
  const places = lay(text.words, body, say);
  together(text.words, places, 'row', 'a table row', say);
  headings(text.words, places, say);
  heads(text, places, body, say);
  pictures(drawn, text, places, say);
}

function sheetSize(sheets, { size, min, max }, say) {
  const [width, height] = SIZES[size];
  for (const [at, sheet] of sheets.entries()) {
    if (Math.abs(sheet.width - width) > 1 || Math.abs(sheet.height - height) > 1) {
      say('size', `sheet ${at + 1} is ${sheet.width} by ${sheet.height} points, not ${size}`);
    }
  }
  if (sheets.length < min || sheets.length > max) say('count', `${sheets.length} sheets, not ${min} to ${max}`);
}

// A browser shrinks the whole page when something is wider than the sheet; nothing may ask for that.
async function tooWide(tab, points, say) {
  const width = Math.floor(points * 96 / 72);
  await tab.setViewportSize({ width, height: 1000 });
  const wide = await tab.evaluate(() => document.documentElement.scrollWidth);
  if (wide > width + 1) say('beyond', `the page is ${wide} px wide on a sheet with room for ${width} px, and is printed smaller`);
}

// Holds the margins of a sheet to their rules, and gives back the words of its body.
function marginText(sheet, at, sheets, margins, { number }, say) {
  const foot = sheet.height - margins.bottom;
  const inMargin = (w) => w.bottom <= margins.top + SLACK || w.top >= foot - SLACK;
  const words = sheet.words.map((w) => ({ ...w, sheet: at }));
  const running = words.filter(inMargin);
  const body = words.filter((w) => !inMargin(w));
  const said = running.map((w) => w.text).join(' ');
  const counted = `page ${at + 1} of ${sheets.length}`;
  if (!` ${said.toLowerCase()} `.includes(` ${counted} `)) say('numbers', `sheet ${at + 1} does not say \`${counted}\`: \`${said.slice(0, 160)}\``);
  if (number && !said.includes(number)) say('numbers', `sheet ${at + 1} does not carry the number \`${number}\`: \`${said.slice(0, 160)}\``);
  for (const word of words) {
    const where = `sheet ${at + 1}: \`${word.text}\` at ${word.left.toFixed(0)},${word.top.toFixed(0)} to ${word.right.toFixed(0)},${word.bottom.toFixed(0)}`;
    const edge = inMargin(word) ? UNPRINTABLE : 0;
    const left = edge || margins.left - SLACK;
    const right = sheet.width - (edge || margins.right - SLACK);
    const outside = word.left < left || word.right > right || word.top < UNPRINTABLE || word.bottom > sheet.height - UNPRINTABLE;
    const astride = !inMargin(word) && (word.top < margins.top - SLACK || word.bottom > foot + SLACK);
    if (outside || astride) say('beyond', `${where} is outside the page's margins`);
  }
  return body;
}

// Finds each word of the page on paper: the page's letters must stand there, all of them and in the same order.
// Words that the style sheet lifts out of the flow are painted last, so they may stand anywhere.
function lay(words, body, say) {
  const wanted = words.flatMap(({ text, lifted }, at) => pieces(text).map((piece) => ({ text: piece, lifted, at })));
  const printed = body.flatMap((word) => pieces(word.text).map((text) => ({ text, word })));
  const places = words.map(() => []);
  const missing = new Set();
  const flow = wanted.filter((w) => !w.lifted);
  const pairs = align(flow.map((w) => w.text), printed.map((p) => p.text));
  if (!pairs) {
    say('text', 'the text on paper is not the text of the page');
    return places;
  }
  for (const [from, to, begin, end] of gaps(pairs, printed.length)) {
    // Between words that agree, the same letters may be parted into words in another way.
    inGap(flow.slice(from, to), printed.slice(begin, end), places, missing);
  }
  for (const [i, at] of pairs.entries()) if (at >= 0) places[flow[i].at].push(printed[at].word);
  for (const word of new Set(places.flat())) word.found = true;
  const left = printed.filter((p) => !p.word.found);
  for (const { text, at } of wanted.filter((w) => w.lifted)) {
    const there = left.find((p) => !p.taken && p.text === text);
    if (there) {
      there.taken = true;
      there.word.found = true;
      places[at].push(there.word);
    } else missing.add(at);
  }
  for (const place of places) place.sort((a, b) => a.sheet - b.sheet);
  if (missing.size > 0) {
    const some = [...missing].slice(0, 12).map((at) => words[at].text).join(' ');
    say('text', `${missing.size} of ${words.length} words are not on paper in their place: ${some}`);
  }
  return places;
}

// The runs of words that found no like: from, to in the page; begin, end on paper.
function gaps(pairs, length) {
  const found = [];
  let [from, begin] = [0, 0];
  for (let i = 0; i <= pairs.length; i += 1) {
    const at = i < pairs.length ? pairs[i] : length;
    if (at < 0) continue;
    if (i > from) found.push([from, i, begin, at]);
    [from, begin] = [i + 1, at + 1];
  }
  return found;
}

function inGap(wanted, printed, places, missing) {
  const a = wanted.flatMap((w) => [...w.text].map((c) => [c, w.at]));
  const b = printed.flatMap((p) => [...p.text].map((c) => [c, p.word]));
  const pairs = align(a.map(([c]) => c), b.map(([c]) => c));
  for (const [i, [, at]] of a.entries()) {
    if (!pairs || pairs[i] < 0) missing.add(at);
    else if (places[at].at(-1) !== b[pairs[i]][1]) places[at].push(b[pairs[i]][1]);
  }
}

const sheetsOf = (places) => [...new Set(places.flat().map((w) => w.sheet))];

// Words that belong together stand on one sheet.
function together(words, places, key, what, say) {
  for (const [id, members] of groups(words, key)) {
    const on = sheetsOf(members.map((at) => places[at]));
    if (on.length > 1) {
      say(key, `${what} is cut (number ${id + 1}, sheets ${on.map((s) => s + 1).join(' and ')}): ${members.slice(0, 12).map((at) => words[at].text).join(' ')}`);
    }
  }
}

function groups(words, key) {
  const found = new Map();
  for (const [at, word] of words.entries()) {
    if (word[key] === null) continue;
    if (!found.has(word[key])) found.set(word[key], []);
    found.get(word[key]).push(at);
  }
  return found;
}

// A heading, or the caption of a table, stands on the sheet where what follows it begins.
function headings(words, places, say) {
  for (const [, members] of groups(words, 'heading')) {
    const next = members.at(-1) + 1;
    if (next >= words.length) continue;
    const here = places[members.at(-1)].at(-1)?.sheet;
    const there = places[next][0]?.sheet;
    if (here !== undefined && there !== undefined && here !== there) {
      say('heading', `the last line of sheet ${here + 1} is a heading: ${members.map((at) => words[at].text).join(' ')}`);
    }
  }
}

// A table that goes on over the sheet repeats its head there: the text of that sheet begins with it.
function heads(text, places, body, say) {
  for (const [table, members] of groups(text.words, 'table')) {
    const head = letters(text.heads[table]).join('');
    const rows = members.filter((at) => text.words[at].row !== null);
    const [first, ...more] = sheetsOf(rows.map((at) => places[at]));
    for (const sheet of head ? more : []) {
      const begins = body.filter((w) => w.sheet === sheet).flatMap((w) => letters(w.text)).slice(0, head.length + 40).join('');
      if (!begins.includes(head)) {
        say('head', `table ${table + 1} goes on from sheet ${first + 1} to sheet ${sheet + 1} without its head: ${text.heads[table].trim()}`);
      }
    }
  }
}

// The sheet of each picture, in order.
function drawnOn(path) {
  const list = execFileSync('pdfimages', ['-list', path], { encoding: 'utf8' }).split('\n').slice(2);
  return list.map((line) => line.trim().split(/\s+/)).filter(([, , type]) => type === 'image').map(([sheet]) => Number(sheet) - 1);
}

// Each picture is drawn once, on one sheet, with its caption. A picture that is cut is drawn on two.
function pictures(drawn, text, places, say) {
  if (drawn.length !== text.pictures.length) {
    return say('figure', `${text.pictures.length} pictures are drawn ${drawn.length} times: one is cut or missing`);
  }
  const captions = groups(text.words, 'figure');
  for (const [at, figure] of text.pictures.entries()) {
    const on = sheetsOf((captions.get(figure) ?? []).map((word) => places[word]));
    if (on.some((sheet) => sheet !== drawn[at])) {
      const caption = captions.get(figure).slice(0, 12).map((word) => text.words[word].text).join(' ');
      say('figure', `picture ${at + 1} is on sheet ${drawn[at] + 1}, its caption on ${on.map((s) => s + 1).join(' and ')}: ${caption}`);
    }
  }
}
