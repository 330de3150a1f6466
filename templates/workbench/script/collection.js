// The collection: counts while one types, leaves while one scrolls. Without this script the form and its leaves do both.
import { fill, part } from './workbench.js';

const form = document.getElementById('seek');
const shelf = document.getElementById('shelf');
const sought = document.getElementById('sought');
const amiss = { words: document.getElementById('words-amiss'), dated: document.getElementById('dated-amiss') };
document.body.classList.add('live');

let asking = null;
let later = 0;

function query() {
  const fields = [...new FormData(form)].filter(([, value]) => value.trim() !== '');
  return new URLSearchParams(fields);
}

async function ask() {
  asking?.abort();
  asking = new AbortController();
  const wanted = query();
  const held = shelf.contains(document.activeElement) ? document.activeElement.id : null;
  try {
    const html = await part(`/collection/part?${wanted}`, { signal: asking.signal });
    fill(shelf, html);
    if (held) document.getElementById(held)?.focus();
    const line = shelf.querySelector('.count-line');
    amiss.words.textContent = line.dataset.words;
    amiss.dated.textContent = line.dataset.dated;
    sought.textContent = `${line.dataset.found} found`;
    history.replaceState(null, '', wanted.size > 0 ? `/?${wanted}` : '/');
    layOut(1);
  } catch (error) {
    if (error.name !== 'AbortError') amiss.words.textContent = error.message;
  }
}

form.addEventListener('input', () => {
  clearTimeout(later);
  later = setTimeout(ask, 120);
});
shelf.addEventListener('change', (event) => {
  if (event.target.form === form) ask();
});
form.addEventListener('submit', (event) => {
  event.preventDefault();
  ask();
});

// Each leaf has its place from the start, so that the scroll bar shows the whole collection; it is read when it comes near.
const near = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (isIntersecting) read(target);
  }
}, { rootMargin: '1200px 0px' });

async function read(leaf) {
  near.unobserve(leaf);
  const wanted = query();
  wanted.set('page', leaf.dataset.page);
  try {
    const html = await part(`/collection/leaf?${wanted}`);
    if (!leaf.isConnected) return;
    fill(leaf, html);
    leaf.classList.remove('waiting');
    leaf.removeAttribute('aria-busy');
  } catch (error) {
    leaf.textContent = error.message;
    // An observer tells at once of what is in sight: without a pause the leaf would be asked for without end.
    setTimeout(() => { if (leaf.isConnected) near.observe(leaf); }, 2000);
  }
}

function layOut(first) {
  near.disconnect();
  const shown = shelf.querySelector('.lots');
  const pages = Number(shelf.querySelector('.count-line').dataset.pages);
  const tall = shown.getBoundingClientRect().height;
  let last = shown;
  for (let page = first + 1; page <= pages; page += 1) {
    const leaf = document.createElement('ol');
    leaf.className = 'lots waiting';
    leaf.dataset.page = page;
    leaf.setAttribute('aria-busy', 'true');
    leaf.style.setProperty('--tall', `${tall}px`);
    last.after(leaf);
    near.observe(leaf);
    last = leaf;
  }
}

layOut(Number(shelf.querySelector('.lots').dataset.page));
