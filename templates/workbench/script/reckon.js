// Sums are worked out while one writes. Without this script the button does it.
import { fill, part } from './workbench.js';

const form = document.getElementById('sums');
document.body.classList.add('live');

const asking = new Map();

async function work(field) {
  asking.get(field)?.abort();
  const ask = new AbortController();
  asking.set(field, ask);
  const says = document.getElementById(`says-${field.name}`);
  const lines = new URLSearchParams({ lines: field.value });
  try {
    fill(says, await part(`/reckon/${field.name}/answers?${lines}`, { signal: ask.signal }));
  } catch (error) {
    if (error.name !== 'AbortError') says.textContent = error.message;
  }
}

const later = new Map();
form.addEventListener('input', ({ target }) => {
  clearTimeout(later.get(target));
  later.set(target, setTimeout(work, 150, target));
});
