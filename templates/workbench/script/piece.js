// The record of a piece, corrected in place: a line becomes a form, and is entered with a reason.
import { Refused, make, part, reload, send, tellDone } from './workbench.js';

const record = document.getElementById('record');
const piece = record.dataset.piece;
const lists = new Map();

tellDone();

for (const line of record.querySelectorAll('.record-line')) {
  const observed = line.closest('.sitting') !== null;
  if ((observed ? record.dataset.observed : record.dataset.facts) === 'true') line.append(mendButton(line));
}

function mendButton(line) {
  const what = line.querySelector('dd')?.textContent ?? line.dataset.section;
  const button = make('button', { type: 'button', className: 'plain mend', textContent: 'Correct' });
  button.setAttribute('aria-label', `Correct ${line.dataset.section.replace('_', ' ')}: ${what}`);
  button.addEventListener('click', () => open(line, button));
  return button;
}

async function open(line, button) {
  button.disabled = true;
  const id = line.dataset.id && line.dataset.section !== 'piece' ? `/${line.dataset.id}` : '';
  try {
    const answer = JSON.parse(await part(`${piece}/lines/${line.dataset.section}${id}`));
    const form = await mending(line, button, answer.line, answer.components);
    line.append(form);
    form.querySelector('input, select, textarea')?.focus();
  } catch (error) {
    button.disabled = false;
    line.append(make('p', { className: 'amiss', role: 'alert', textContent: error.message }));
  }
}

async function mending(line, button, known, components) {
  const form = make('form', { className: 'mending', noValidate: true });
  const fields = make('div', { className: 'mending-fields' });
  const amiss = make('p', { className: 'amiss' });
  amiss.setAttribute('role', 'alert');
  const held = { version: known.version, id: known.id, base: new Map() };
  const writing = [];
  for (const field of known.fields) {
    if (field.name === 'withdrawn' || field.name === 'number') continue;
    const box = await boxOf(field, components, known.section);
    held.base.set(field.name, JSON.stringify(box.value()));
    writing.push(box);
    fields.append(box.element);
  }
  const reason = make('input', { id: fresh(), required: true, autocomplete: 'off' });
  const reasonAmiss = make('span', { className: 'amiss', id: `${reason.id}-amiss` });
  reason.setAttribute('aria-describedby', reasonAmiss.id);
  const why = make('p', {}, make('label', { htmlFor: reason.id, textContent: 'Why it is corrected; the journal keeps it' }), reason, reasonAmiss);
  const enter = make('button', { textContent: 'Enter the correction' });
  const leave = make('button', { type: 'button', className: 'quiet', textContent: 'Leave it as it was' });
  const end = make('div', { className: 'mending-end' }, why, enter, leave);
  const observed = line.closest('.sitting');
  if (line.dataset.gone === 'true') {
    const withdraw = make('button', { type: 'button', className: 'quiet', textContent: observed ? 'Withdraw the line' : 'Strike the line out' });
    withdraw.addEventListener('click', () => put(true));
    end.append(withdraw);
  }
  form.append(fields, amiss, end);
  leave.addEventListener('click', () => {
    form.remove();
    button.disabled = false;
    button.focus();
  });
  form.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') leave.click();
  });
  form.addEventListener('input', () => {
    for (const box of writing) box.element.classList.toggle('changed', isChanged(box));
  });
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    put(false);
  });

  function isChanged(box) {
    return JSON.stringify(box.value()) !== held.base.get(box.name);
  }

  async function put(withdraw) {
    for (const box of writing) box.amiss('');
    amiss.textContent = '';
    reasonAmiss.textContent = '';
    const changed = writing.filter(isChanged);
    if (reason.value.trim() === '') {
      reasonAmiss.textContent = 'Say why, in a few words: misread, measured again, wrong term.';
      reason.focus();
      return;
    }
    if (!withdraw && changed.length === 0) {
      amiss.textContent = 'Nothing is changed yet.';
      return;
    }
    enter.disabled = true;
    try {
      await send(`${piece}/correct`, {
        section: known.section,
        id: held.id,
        version: held.version,
        fields: withdraw ? {} : Object.fromEntries(changed.map((box) => [box.name, box.value()])),
        reason: reason.value,
        withdraw,
      });
      reload(withdraw ? `The line is ${observed ? 'withdrawn' : 'struck out'}; it stays readable.` : 'The correction is entered; what stood before stays readable.');
    } catch (error) {
      enter.disabled = false;
      amiss.textContent = error.message;
      if (!(error instanceof Refused)) return;
      for (const mistake of error.answer?.mistakes ?? []) {
        const box = writing.find((b) => b.name === mistake.field);
        if (mistake.field === 'reason') reasonAmiss.textContent = mistake.what;
        else box?.amiss(mistake.what);
      }
      if (error.answer?.mistakes) amiss.textContent = error.answer.mistakes.some((m) => m.field === '') ? error.message : '';
      if (error.status === 409 && error.answer?.now) choose(error.answer);
    }
  }

  // Someone else was quicker: both versions, field by field. What is chosen stands in the fields and can still be changed.
  async function choose({ now, by }) {
    form.querySelector('.both-versions')?.remove();
    const both = make('div', { className: 'both-versions' });
    if (by) both.append(make('p', { className: 'hint', textContent: `Corrected ${by.on} by ${by.by}: ${by.why}` }));
    for (const field of now.fields) {
      const mine = writing.find((b) => b.name === field.name);
      if (!mine) continue;
      const other = await boxOf(field, components, now.section);
      const [theirs, ours] = [other.value(), mine.value()];
      held.base.set(field.name, JSON.stringify(theirs));
      if (JSON.stringify(theirs) === JSON.stringify(ours)) continue;
      const set = make('fieldset', {}, make('legend', { textContent: field.name.replaceAll('_', ' ') }));
      const group = fresh();
      for (const [words, value] of [['theirs', theirs], ['yours', ours]]) {
        const choice = make('input', { type: 'radio', name: group, checked: value === ours });
        choice.addEventListener('change', () => mine.set(value));
        set.append(make('label', {}, choice, `${words}: ${said(value) || 'blank'}`));
      }
      both.append(set);
    }
    held.version = now.version;
    held.id = now.id;
    amiss.after(both);
    both.querySelector('input')?.focus();
  }
  return form;
}

function said(value) {
  return typeof value === 'string' ? value : value.map((row) => Object.values(row).filter(Boolean).join(', ')).join('; ');
}

let count = 0;
function fresh() {
  count += 1;
  return `mend-${count}`;
}

/** A field to write in: its element, what it holds, and where its mistakes are said. */
async function boxOf(field, components, section) {
  if (field.kind === 'record') return recordBox(field, components, section);
  const id = fresh();
  const input = await inputOf(field, id, components, section);
  const hint = make('span', { className: 'hint', id: `${id}-hint`, textContent: field.several ? `${field.help}; one below the other` : field.help });
  const amiss = make('span', { className: 'amiss', id: `${id}-amiss` });
  input.setAttribute('aria-describedby', `${hint.id} ${amiss.id}`);
  const label = make('label', { htmlFor: id, textContent: field.name.replaceAll('_', ' ') });
  const element = make('p', {}, label, input, hint, amiss);
  if (input.localName === 'textarea') element.className = 'wide';
  return {
    name: field.name,
    element,
    value: () => input.value.trim(),
    set: (text) => {
      input.value = text;
      input.dispatchEvent(new Event('input', { bubbles: true }));
    },
    amiss: (text) => {
      amiss.textContent = text;
      input.toggleAttribute('aria-invalid', text !== '');
    },
  };
}

async function inputOf(field, id, components, section) {
  if (field.kind === 'choice' && !field.several) {
    const options = ['', ...field.words].map((word) => make('option', { value: word, textContent: word || 'not recorded' }));
    const select = make('select', { id }, ...options);
    select.value = field.text;
    return select;
  }
  const long = field.several || (field.kind === 'text' && (field.text.length > 60 || /description|note|interpretation|said/.test(field.name)));
  const input = long ? make('textarea', { id, rows: Math.min(8, Math.max(2, field.text.split('\n').length)) }) : make('input', { id, autocomplete: 'off' });
  input.value = field.text;
  if (!long && (field.scheme || field.kind === 'component')) {
    const key = field.scheme ?? 'components';
    input.setAttribute('list', await listOf(key, components));
  }
  return input;
}

async function listOf(key, components) {
  const id = `list-${key}`;
  if (!lists.has(id)) {
    const terms = key === 'components' ? components.map((name) => ({ name, definition: '' })) : JSON.parse(await part(`/words/${key}/terms`));
    const options = terms.map((term) => make('option', { value: term.name, label: term.definition ? `${term.name}: ${term.definition}` : term.name }));
    lists.set(id, make('datalist', { id }, ...options));
    document.body.append(lists.get(id));
  }
  return id;
}

async function recordBox(field, components, section) {
  const name = field.name.replaceAll('_', ' ');
  const element = make('fieldset', {}, make('legend', { textContent: name }));
  const amiss = make('p', { className: 'amiss' });
  let rows = [];
  async function add(fields) {
    const holder = make('div', { className: 'mending-fields' });
    const boxes = [];
    for (const inner of fields) {
      const box = await boxOf(inner, components, section);
      boxes.push(box);
      holder.append(box.element);
    }
    rows.push({ holder, boxes });
    amiss.before(holder);
  }
  element.append(amiss);
  for (const row of field.rows) await add(row);
  if (field.several) {
    const more = make('button', { type: 'button', className: 'plain', textContent: `Another of ${name}` });
    more.addEventListener('click', () => add(field.blank));
    element.append(more);
  }
  const value = () => rows
    .map(({ boxes }) => Object.fromEntries(boxes.map((box) => [box.name, box.value()]).filter(([, v]) => v.length > 0)))
    .filter((row) => Object.keys(row).length > 0);
  return {
    name: field.name,
    element,
    value,
    set: async (values) => {
      for (const { holder } of rows) holder.remove();
      rows = [];
      const model = field.several ? field.blank : field.rows[0];
      for (const row of values.length > 0 || field.several ? values : [{}]) {
        await add(model.map((inner) => ({ ...inner, text: typeof row[inner.name] === 'string' ? row[inner.name] : '' })));
      }
      element.dispatchEvent(new Event('input', { bubbles: true }));
    },
    amiss: (text) => {
      amiss.textContent = text;
    },
  };
}
