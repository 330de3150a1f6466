// Photographs in: each file is sent by itself, one after the other, with its own progress; a bad one stops no other.
import { make, refresh, token } from './workbench.js';

const adding = document.getElementById('adding');
const told = document.getElementById('told');
const files = document.getElementById('files');
const coming = document.getElementById('coming');
const tally = document.getElementById('tally');
const drop = document.getElementById('drop');
const count = { added: 0, known: 0, failed: 0 };
const waiting = [];
let busy = false;

function add(list) {
  const fields = [...new FormData(told)].filter(([name, value]) => name !== 'token' && typeof value === 'string' && value.trim() !== '');
  for (const file of list) {
    const bar = make('progress', { max: 1, value: 0 });
    const state = make('span', { className: 'coming-state', textContent: 'waiting' });
    bar.setAttribute('aria-label', file.name);
    const line = make('li', {}, make('span', { className: 'coming-name', textContent: file.name }), bar, state);
    coming.append(line);
    waiting.push({ file, line, bar, state, fields: [...fields, ['name', file.name]] });
  }
  next();
}

async function next() {
  if (busy) return;
  busy = true;
  for (let one = waiting.shift(); one; one = waiting.shift()) {
    await send(one);
    const say = [[count.added, 'added'], [count.known, 'known already'], [count.failed, 'not added'], [waiting.length, 'waiting']];
    tally.textContent = say.filter(([n]) => n > 0).map(([n, what]) => `${n} ${what}`).join(', ');
  }
  busy = false;
  await refresh('recorded');
}

function send({ file, line, bar, state, fields }) {
  return new Promise((done) => {
    const end = (kind, says, answer) => {
      count[kind] += 1;
      line.className = `coming-${kind}`;
      bar.remove();
      state.textContent = says;
      if (answer?.address) {
        const name = line.querySelector('.coming-name');
        name.replaceChildren(make('a', { href: answer.address, textContent: file.name }));
        if (answer.small) line.prepend(make('img', { src: answer.small, alt: '' }));
        for (const remark of answer.remarks ?? []) line.append(make('span', { className: 'hint', textContent: remark }));
      }
      done();
    };
    const most = Number(adding.dataset.most);
    if (file.size > most) {
      end('failed', `Too large: the most is ${Math.floor(most / 2 ** 20)} MiB. Divide the picture or save it smaller.`);
      return;
    }
    const request = new XMLHttpRequest();
    request.open('POST', `${adding.dataset.to}?${new URLSearchParams(fields)}`);
    request.setRequestHeader('x-dimity-token', token);
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.responseType = 'json';
    state.textContent = 'sending';
    request.upload.addEventListener('progress', (event) => {
      if (event.lengthComputable) bar.value = event.loaded / event.total;
    });
    request.upload.addEventListener('load', () => {
      bar.removeAttribute('value');
      state.textContent = 'being stored';
    });
    request.addEventListener('load', () => {
      const answer = request.response;
      if (request.status === 200) end(answer.known ? 'known' : 'added', answer.says, answer);
      else end('failed', answer?.wrong ?? `It was not added (${request.status}). Send it again.`);
    });
    request.addEventListener('error', () => end('failed', 'It broke off on its way, and nothing of it was kept. Is the program still running?'));
    request.send(file);
  });
}

if (adding) {
  document.getElementById('drop-hint').hidden = false;
  // Here each file is sent as soon as it is chosen, with its own progress; the form alone sends them all at once.
  document.getElementById('take-in').hidden = true;
  files.addEventListener('change', () => {
    add([...files.files]);
    files.value = '';
  });
  told.addEventListener('submit', (event) => event.preventDefault());
  // A file that misses the field must not take the place of the page.
  document.addEventListener('dragover', (event) => {
    if (!event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault();
    drop.classList.add('over');
  });
  document.addEventListener('dragleave', (event) => {
    if (event.relatedTarget === null) drop.classList.remove('over');
  });
  document.addEventListener('drop', (event) => {
    if (!event.dataTransfer?.files.length) return;
    event.preventDefault();
    drop.classList.remove('over');
    add([...event.dataTransfer.files]);
  });
  addEventListener('beforeunload', (event) => {
    if (busy) event.preventDefault();
  });
}
