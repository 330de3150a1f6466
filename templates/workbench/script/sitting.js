// The examination in progress: one line to write in, and the list of lines below it. The server reads and keeps all.
import { Refused, fill, make, part, send } from './workbench.js';
import { Keeper } from './keeping.js';
import { Ways } from './ways.js';

const of = (id) => document.getElementById(id);
const root = of('sitting');
const [line, echo, lines, expected, kept, amiss, fields, both, reason] =
  ['line', 'echo', 'lines', 'expected', 'kept', 'amiss', 'fields', 'meanwhile', 'reason'].map(of);
let changing = line.dataset.for === '' ? null : Number(line.dataset.for);

const keeper = new Keeper(root, {
  elsewhere: (answer) => elsewhere(answer),
  state: (word, why) => {
    kept.textContent = { writing: 'Keeping …', kept: 'Kept.', 'not kept': 'Not kept yet; it is sent until it is.' }[word];
    kept.classList.toggle('amiss', word === 'not kept');
    if (word === 'not kept' && why && amiss.textContent === '') amiss.textContent = unkept = why;
    if (word === 'kept' && amiss.textContent === unkept) amiss.textContent = '';
  },
});
// Why the last was not kept, as long as that is so.
let unkept = '';
const ways = new Ways(line, of('ways'), (way) => {
  // What was typed since the words were offered belongs to the word that is replaced: it ends where the cursor stands.
  const chars = [...line.value];
  const to = Math.max(way.from, [...line.value.slice(0, line.selectionStart)].length);
  const before = chars.slice(0, way.from).join('') + way.with;
  const after = chars.slice(to).join('');
  const gap = /[\s:]$/.test(way.with) || after.startsWith(' ') ? '' : ' ';
  write(before + gap + after, (before + gap).length);
});

/** Puts a text into the line and has it read. */
function write(text, caret = text.length) {
  line.value = text;
  line.focus();
  line.setSelectionRange(caret, caret);
  wrote();
}

function wrote() {
  const caret = [...line.value.slice(0, line.selectionStart)].length;
  const text = line.value;
  keeper.typed({ text, caret, key: changing, reason: reason.value }, (answer) => {
    if (line.value !== text) return;
    fill(echo, answer.echo);
    hear();
    if (document.activeElement === line) ways.show(answer.ways);
  });
}

// For those who listen: what was understood, once the keys rest.
let resting = 0;
function hear() {
  clearTimeout(resting);
  resting = setTimeout(() => {
    const said = echo.querySelectorAll('.sit-read b, .sit-both, .sit-loose dt, .sit-loose dd b, .amiss');
    of('heard').textContent = [...said].map((e) => e.textContent.trim()).join('; ');
  }, 900);
}

function name() {
  const item = changing === null ? null : lines.querySelector(`[data-key="${changing}"]`);
  of('line-name').textContent = item ? `Change the line: ${item.dataset.text}` : 'Write an observation';
  of('add').textContent = item ? 'Put back' : 'Add';
}

/** Lays out the list anew, as the server has it. */
function show(answer) {
  fill(lines, answer.lines);
  fill(expected, answer.expected);
  steps(answer);
  name();
}

function steps({ undo, redo, corrects }) {
  for (const [button, word, what] of [[of('undo'), 'Undo', undo], [of('redo'), 'Redo', redo]]) {
    button.disabled = !what;
    button.textContent = what ? `${word}: ${what}` : word;
  }
  of('reason-part').hidden = !(corrects === true || corrects === 'true') && reason.value === '';
}

async function stroke(act, value = {}) {
  if (act !== 'write') keeper.settle();
  amiss.textContent = '';
  try {
    const answer = await keeper.send('stroke', { act, ...value });
    show(answer);
    kept.textContent = 'Kept.';
    return answer;
  } catch (error) {
    amiss.textContent ||= error.message;
    return null;
  }
}

// Lines on their way to the list. Where nobody answers they stand below the line that is written, and one writes on.
const going = [];
/** So long a line may be on its way before it is shown there. */
const LONG = 400;
let bringing = null;

function add() {
  if (line.value.trim() === '') return;
  going.push({ text: line.value, key: changing });
  keeper.settle();
  line.value = '';
  changing = null;
  fill(echo, '');
  ways.hide();
  closeFields();
  name();
  line.focus();
  line.scrollIntoView({ block: 'nearest' });
  setTimeout(told, LONG);
  bring();
}

/** Sends the lines on their way, one after the other, up to one that is refused. */
function bring() {
  bringing ??= (async () => {
    while (going.length > 0 && (await stroke('write', going[0]))) going.shift();
  })().finally(() => {
    bringing = null;
    // What is refused goes back into the line, if nothing else is being written there.
    if (going.length === 1 && line.value === '') {
      const { text, key } = going.pop();
      changing = key;
      write(text);
      name();
    } else if (line.value !== '') wrote();
    told();
  });
  return bringing;
}

function told() {
  const waiting = going.map(({ text }) => make('li', { textContent: text }));
  const again = make('button', { type: 'button', className: 'quiet', textContent: 'Send them again', hidden: bringing !== null });
  again.addEventListener('click', bring);
  of('going').replaceChildren(...(waiting.length > 0 ? [make('p', { textContent: 'Not in the list yet:' }), make('ul', {}, ...waiting), again] : []));
}

async function elsewhere(answer) {
  amiss.textContent = `${answer.wrong} `;
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'quiet';
  button.textContent = 'Show the lines as they are now, and go on here';
  button.addEventListener('click', async () => {
    try {
      const now = JSON.parse(await part(`${keeper.address}/part`));
      keeper.version = now.version;
      show(now);
      amiss.textContent = '';
      if (going.length > 0) bring();
      else if (line.value === '' && now.typed) write(now.typed);
      else wrote();
    } catch (error) {
      amiss.textContent = error.message;
    }
  });
  amiss.append(button);
}

// The line
line.addEventListener('input', wrote);
line.addEventListener('keydown', (event) => {
  if (event.isComposing || ways.key(event)) return;
  const empty = line.value === '';
  if (event.key === 'ArrowDown' && empty) {
    const left = [...expected.querySelectorAll('.sit-next[data-done="false"]')];
    ways.show(left.map((b) => ({ from: 0, to: 0, with: b.dataset.line, kind: b.dataset.kind, means: b.dataset.help })));
    if (left.length > 0) ways.move(1);
    event.preventDefault();
  } else if (event.key === 'ArrowUp') {
    lines.querySelector('.sit-open')?.focus();
    event.preventDefault();
  } else if (event.key === 'Escape' && changing !== null) {
    // The line stays in the list as it was.
    changing = null;
    write('');
    name();
  } else if (event.key === 'Enter' && (event.ctrlKey || event.metaKey)) {
    event.preventDefault();
    enter();
  }
});
line.addEventListener('blur', () => setTimeout(() => { if (document.activeElement !== line) ways.hide(); }, 150));
of('writing').addEventListener('submit', (event) => {
  event.preventDefault();
  add();
});
echo.addEventListener('click', (event) => {
  const { head, field, from, to } = event.target.closest('button')?.dataset ?? {};
  if (head) write(`${head.replace('_', ' ')}: ${line.value}`);
  if (!field) return;
  const chars = [...line.value];
  const put = (a, b) => chars.slice(a, b).join('').trim().replace(/[,;]$/, '');
  const rest = [put(0, Number(from)), put(Number(to))].filter((text) => text !== '').join('; ');
  write(`${rest}; ${field}: ${put(Number(from), Number(to))}`);
});

// The list
function open(button) {
  for (const other of lines.querySelectorAll('.sit-open')) {
    const is = other === button;
    other.setAttribute('aria-expanded', String(is));
    other.closest('.sit-line').querySelector('.sit-acts').hidden = !is;
  }
}

function change(item, reading) {
  changing = Number(item.dataset.key);
  const text = item.dataset.text;
  // The unit of the last reading is offered, and seen; it is never taken for granted.
  const unit = reading ? (/\d[\d\s.,/½¼¾⅓⅔⅛⅜⅝⅞-]*([^\d\s,;:][^,;:]*?)\s*(?:[,;]|$)/.exec([...text.split(/[;]/)].pop()) ?? [])[1] ?? '' : '';
  const start = reading ? `${text}; ` : text;
  write(unit ? `${start} ${unit}` : start, start.length);
  name();
}

async function act(item, what) {
  if (what === 'change') change(item, false);
  if (what === 'reading') change(item, true);
  if (what === 'remove') {
    await stroke('remove', { key: Number(item.dataset.key) });
    (lines.querySelector('.sit-open') ?? line).focus();
  }
}

lines.addEventListener('click', (event) => {
  const item = event.target.closest('.sit-line');
  const what = event.target.closest('[data-act]')?.dataset.act;
  const button = event.target.closest('.sit-open');
  if (what) act(item, what);
  else if (button) open(button.getAttribute('aria-expanded') === 'true' ? null : button);
});
lines.addEventListener('keydown', (event) => {
  const button = event.target.closest('.sit-open');
  if (!button || event.altKey) return;
  const all = [...lines.querySelectorAll('.sit-open')];
  const item = button.closest('.sit-line');
  const plain = !event.ctrlKey && !event.metaKey;
  const at = all.indexOf(button);
  if (event.key === 'ArrowDown') all[Math.min(at + 1, all.length - 1)].focus();
  else if (event.key === 'ArrowUp') (all[at - 1] ?? line).focus();
  else if (event.key === 'Enter' && plain) act(item, 'change');
  else if (event.key.toLowerCase() === 'r' && plain && item.dataset.readings === 'true') act(item, 'reading');
  else if (event.key === 'Delete' && plain && item.querySelector('[data-act="remove"]')) act(item, 'remove');
  else if (event.key === 'Escape') line.focus();
  else return;
  event.preventDefault();
});
expected.addEventListener('click', async (event) => {
  const { take } = event.target.closest('[data-take]')?.dataset ?? {};
  if (take) {
    const answer = await stroke('take', { text: take });
    const item = answer && lines.querySelector(`[data-key="${answer.key}"]`);
    if (item) change(item, false);
    return;
  }
  const next = event.target.closest('.sit-next');
  if (next) write(next.dataset.line);
});
of('undo').addEventListener('click', () => stroke('undo'));
of('redo').addEventListener('click', () => stroke('redo'));
addEventListener('keydown', (event) => {
  const key = event.key.toLowerCase();
  const typing = event.target.matches('input, textarea, select') && event.target.value !== '';
  if (event.key === 'F2') {
    event.preventDefault();
    toggleFields();
  } else if ((event.ctrlKey || event.metaKey) && !typing && (key === 'z' || key === 'y')) {
    event.preventDefault();
    stroke(key === 'y' || event.shiftKey ? 'redo' : 'undo');
  }
});

// All fields
function closeFields() {
  fields.hidden = true;
  fields.replaceChildren();
  of('all-fields').setAttribute('aria-expanded', 'false');
}

async function toggleFields() {
  if (!fields.hidden) {
    closeFields();
    line.focus();
    return;
  }
  await readFields([]);
  fields.hidden = false;
  of('all-fields').setAttribute('aria-expanded', 'true');
  fields.querySelector('input, select, textarea')?.focus();
}

async function readFields(filled) {
  try {
    const answer = await send(`${keeper.address}/fields`, { text: line.value, fields: filled });
    if (filled.length === 0) fill(fields, answer.fields);
    return answer.text;
  } catch (error) {
    amiss.textContent = error.message;
    return null;
  }
}

// A long note is kept while it is written, not when its field is left.
let [soon, asked] = [0, 0];
fields.addEventListener('input', (event) => {
  clearTimeout(soon);
  soon = setTimeout(() => asLine(event.target), 400);
});
fields.addEventListener('change', (event) => {
  clearTimeout(soon);
  asLine(event.target);
});

/** Writes what a field holds into the line, which is kept. */
async function asLine(box) {
  if (!box.dataset.name) return;
  const texts = box.dataset.lines === 'true' ? box.value.split('\n') : [box.value];
  const { name: field, inner, row } = box.dataset;
  asked += 1;
  const mine = asked;
  const text = await readFields([{ name: field, inner: inner || null, row: Number(row), texts }]);
  if (text === null || mine !== asked) return;
  line.value = text;
  wrote();
}
fields.addEventListener('keydown', (event) => {
  if (event.key === 'Escape') toggleFields();
});
of('all-fields').addEventListener('click', toggleFields);

// Entering
reason.addEventListener('input', () => {
  of('reason-amiss').textContent = '';
  wrote();
});
of('enter').addEventListener('submit', (event) => {
  event.preventDefault();
  enter();
});

async function enter(chosen = {}) {
  amiss.textContent = '';
  await keeper.flush();
  await bring();
  if (going.length > 0) return;
  // The server would refuse it as well, but not beside the field.
  if (!of('reason-part').hidden && reason.value.trim() === '') {
    of('reason-amiss').textContent = 'Say why what is recorded is changed; the journal keeps it. Nothing was entered.';
    reason.focus();
    return;
  }
  try {
    await keeper.send('enter', { reason: reason.value, ...chosen });
    location.assign(keeper.address);
  } catch (error) {
    amiss.textContent = error.message;
    const answer = error instanceof Refused ? error.answer : null;
    if (answer?.lines) show(answer);
    if (answer?.meanwhile) {
      fill(both, answer.meanwhile);
      both.hidden = false;
      of('both-name').focus();
    } else if (!answer?.elsewhere) {
      both.hidden = true;
      const first = lines.querySelector('.amiss')?.closest('.sit-line')?.querySelector('.sit-open');
      (first ?? line).focus();
    }
  }
}

both.addEventListener('click', async (event) => {
  const drop = event.target.closest('[data-drop]');
  if (drop) {
    await stroke('remove', { key: Number(drop.dataset.drop) });
    drop.disabled = true;
    drop.textContent = 'Left out; Undo brings it back';
  }
  if (event.target.id !== 'both-enter') return;
  const choices = {};
  for (const apart of both.querySelectorAll('.sit-apart')) {
    const sides = choices[apart.dataset.key] = {};
    for (const choice of apart.querySelectorAll('.sit-choice')) {
      const side = choice.querySelector('input:checked')?.value;
      if (!side) {
        of('both-amiss').textContent = `Choose one of the two for “${choice.querySelector('legend').textContent}”.`;
        choice.querySelector('input').focus();
        return;
      }
      sides[choice.dataset.field] = side;
    }
  }
  enter({ choices, shown: [...both.querySelectorAll('[data-id]')].map((li) => li.dataset.id) });
});
of('aside-form')?.addEventListener('submit', () => { of('aside-version').value = keeper.version; });

addEventListener('beforeunload', (event) => {
  if (going.length > 0 || kept.classList.contains('amiss')) event.preventDefault();
});

if (root.dataset.may === 'true') {
  steps(lines.dataset);
  name();
  if (line.value !== '') wrote();
}
