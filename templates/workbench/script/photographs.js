// Photographs in: each file is sent by itself, one after the other, with its own progress; a bad one stops no other.
import { bring, dropped, line, told } from './coming.js';
import { refresh } from './workbench.js';

const adding = document.getElementById('adding');
const form = document.getElementById('told');
const files = document.getElementById('files');
const tally = document.getElementById('tally');
const count = { added: 0, known: 0, failed: 0 };
const waiting = [];
let busy = false;

function add(list) {
  const fields = [...new FormData(form)].filter(([name, value]) => name !== 'token' && typeof value === 'string' && value.trim() !== '');
  for (const file of list) {
    waiting.push({ one: line(document.getElementById('coming'), file, file.name), fields: [...fields, ['name', file.name]] });
  }
  next();
}

async function next() {
  if (busy) return;
  busy = true;
  for (let next = waiting.shift(); next; next = waiting.shift()) {
    count[await bring(next.one, adding.dataset.to, next.fields, Number(adding.dataset.most))] += 1;
    tally.textContent = told(count, waiting.length);
  }
  busy = false;
  await refresh('recorded');
}

if (adding) {
  document.getElementById('drop-hint').hidden = false;
  // Here each file is sent as soon as it is chosen, with its own progress; the form alone sends them all at once.
  document.getElementById('take-in').hidden = true;
  files.addEventListener('change', () => {
    add([...files.files]);
    files.value = '';
  });
  form.addEventListener('submit', (event) => event.preventDefault());
  dropped(document.getElementById('drop'), (transfer) => add([...transfer.files]));
  addEventListener('beforeunload', (event) => {
    if (busy) event.preventDefault();
  });
}
