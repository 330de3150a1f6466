// Photographs named by number: first their names alone are sent, then, once somebody has seen whose each is, the files.
import { bring, dropped, line, told } from './coming.js';
import { make, send } from './workbench.js';

const choosing = document.getElementById('choosing');
const matched = document.getElementById('matched');
const found = document.getElementById('found');
const take = document.getElementById('take-in');
const tally = document.getElementById('tally');
const places = { sure: document.getElementById('sure-files'), open: document.getElementById('open-files'), nobody: document.getElementById('no-files') };
let to = {};
let busy = false;

/** The first bytes of a file, by which the program tells a photograph. */
async function begins(file) {
  const bytes = new Uint8Array(await file.slice(0, 16).arrayBuffer());
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** Files with their paths below the folder that was chosen. */
function ofFolder(list) {
  return [...list].map((file) => ({ file, path: (file.webkitRelativePath || file.name).split('/').slice(file.webkitRelativePath ? 1 : 0).join('/') }));
}

/** All files in and below what was dropped; of one folder alone, its own name says nothing. */
async function ofDrop(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (entries.length === 0) return [...transfer.files].map((file) => ({ file, path: file.name }));
  const alone = entries.length === 1 && entries[0].isDirectory;
  const all = [];
  const walk = async (entry, path) => {
    if (entry.isFile) {
      all.push({ file: await new Promise((ok, no) => { entry.file(ok, no); }), path });
      return;
    }
    const reader = entry.createReader();
    for (;;) {
      const some = await new Promise((ok, no) => { reader.readEntries(ok, no); });
      if (some.length === 0) return;
      for (const one of some) await walk(one, `${path}${path && '/'}${one.name}`);
    }
  };
  for (const entry of entries) await walk(entry, alone ? '' : entry.name);
  return all;
}

async function match(chosen) {
  if (busy || chosen.length === 0) return;
  found.hidden = true;
  matched.className = 'coming-tally';
  matched.textContent = `Looking whose ${chosen.length} files are`;
  try {
    const files = [];
    chosen.sort((a, b) => (a.path < b.path ? -1 : 1));
    for (const { file, path } of chosen) files.push({ path, begins: await begins(file) });
    const answer = await send('/import/photographs/whose', { files });
    to = answer.to;
    show(chosen.map((one, at) => ({ ...one, ...answer.found[at] })));
  } catch (error) {
    matched.className = 'amiss';
    matched.textContent = error.message;
  }
}

function show(files) {
  const of = (is) => files.filter((file) => file.is === is);
  const [sure, open, nobody, passed] = ['sure', 'open', 'nobody', 'passed'].map(of);
  const say = [[sure, 'matched'], [open, 'to be asked about'], [nobody, 'of no piece'], [passed, 'passed over, being no photographs']];
  matched.textContent = say.filter(([list]) => list.length > 0).map(([list, what]) => `${list.length} ${what}`).join(', ');
  places.open.replaceChildren(...part('Whose are these?', open, asked));
  places.sure.replaceChildren(...part('Matched', sure, ticked));
  places.nobody.replaceChildren(...folded(nobody));
  found.hidden = sure.length + open.length === 0;
  take.hidden = false;
  counted();
}

function part(title, files, row) {
  if (files.length === 0) return [];
  return [make('h3', { textContent: title }), make('ul', { className: 'list-files' }, ...files.map(row))];
}

function folded(files) {
  if (files.length === 0) return [];
  const names = files.map((file) => make('li', { textContent: file.path }));
  return [make('details', {}, make('summary', { textContent: `Of no piece, and left alone: ${files.length}` }), make('ul', { className: 'list-files' }, ...names))];
}

/** A file that is sure, with a tick that can be taken away. */
function ticked(file) {
  const tick = make('input', { type: 'checkbox', checked: true });
  tick.addEventListener('change', counted);
  const links = file.numbers.flatMap((number, at) => [at > 0 ? ', ' : '', make('a', { href: to[number], textContent: number })]);
  const item = make('li', {}, make('label', { className: 'list-tick' }, tick, make('span', { textContent: file.path })), make('span', {}, ...links));
  item.chosen = () => (tick.checked ? { file: file.file, path: file.path, numbers: file.numbers } : null);
  return item;
}

/** A file that is not sure, with its candidates. */
function asked(file, at) {
  const id = `whose-${at}`;
  const choice = make('select', { id }, make('option', { value: '', textContent: 'none of them; leave it' }), ...file.numbers.map((number) => make('option', { value: number, textContent: number })));
  choice.addEventListener('change', counted);
  const why = make('span', { className: 'hint', id: `${id}-why`, textContent: file.why });
  choice.setAttribute('aria-describedby', why.id);
  const item = make('li', {}, make('div', {}, make('label', { htmlFor: id, textContent: file.path }), why), choice);
  item.chosen = () => (choice.value ? { file: file.file, path: file.path, numbers: [choice.value] } : null);
  return item;
}

function chosen() {
  return [...found.querySelectorAll('.list-files li')].map((item) => item.chosen?.()).filter(Boolean);
}

function counted() {
  const many = chosen().length;
  take.disabled = many === 0;
  take.textContent = many === 1 ? 'Take in 1 photograph' : `Take in ${many} photographs`;
}

async function bringAll() {
  busy = true;
  take.hidden = true;
  const coming = document.getElementById('coming');
  coming.replaceChildren();
  const count = { added: 0, known: 0, failed: 0 };
  const all = chosen().flatMap(({ file, path, numbers }) => numbers.map((number) => ({ number, one: line(coming, file, `${path}, to ${number}`) })));
  for (const part of Object.values(places)) part.replaceChildren();
  for (const [at, { number, one }] of all.entries()) {
    count[await bring(one, `${to[number]}/photographs`, [['name', one.file.name]], Number(choosing.dataset.most))] += 1;
    tally.textContent = told(count, all.length - at - 1);
  }
  busy = false;
}

// Every browser knows it, and no standard has it: it is no attribute of a valid page.
document.getElementById('folder').webkitdirectory = true;

for (const name of ['folder', 'some']) {
  const field = document.getElementById(name);
  field.addEventListener('change', () => {
    match(ofFolder(field.files));
    field.value = '';
  });
}
dropped(document.getElementById('drop'), async (transfer) => match(await ofDrop(transfer)));
take.addEventListener('click', bringAll);
addEventListener('beforeunload', (event) => {
  if (busy) event.preventDefault();
});
