// A photograph on its way in: its line in the list of those that come, and the request that brings it.
import { known, renewed, token } from './known.js';
import { make } from './workbench.js';

/** A file whose request breaks off is sent again so often: one that came in already is known by its bytes. */
const TRIES = 3;

/** A line that waits; `where` is a list with the class `coming`. */
export function line(where, file, name) {
  const bar = make('progress', { max: 1, value: 0 });
  const state = make('span', { className: 'coming-state', textContent: 'waiting' });
  bar.setAttribute('aria-label', name);
  const item = make('li', {}, make('span', { className: 'coming-name', textContent: name }), bar, state);
  where.append(item);
  return { file, item, bar, state, name };
}

/** Sends the file of a line to the photographs of a piece, no larger than `most`; gives `added`, `known` or `failed`. */
export function bring(one, to, fields, most, tries = TRIES) {
  const { file, item, bar, state, name } = one;
  return new Promise((done) => {
    const end = (kind, says, answer) => {
      item.className = `coming-${kind}`;
      bar.remove();
      state.textContent = says;
      if (answer?.address) {
        item.querySelector('.coming-name').replaceChildren(make('a', { href: answer.address, textContent: name }));
        if (answer.small) item.prepend(make('img', { src: answer.small, alt: '' }));
        for (const remark of answer.remarks ?? []) item.append(make('span', { className: 'hint', textContent: remark }));
      }
      done(kind);
    };
    if (file.size > most) {
      end('failed', `Too large: the most is ${Math.floor(most / 2 ** 20)} MiB. Divide the picture or save it smaller.`);
      return;
    }
    const [request, brought] = [new XMLHttpRequest(), token()];
    const again = () => {
      bar.hidden = false;
      bring(one, to, fields, most, tries - 1).then(done);
    };
    request.open('POST', `${to}?${new URLSearchParams(fields)}`);
    request.setRequestHeader('x-dimity-token', brought);
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.responseType = 'json';
    state.textContent = 'sending';
    request.upload.addEventListener('progress', (event) => {
      if (event.lengthComputable) bar.value = event.loaded / event.total;
    });
    request.upload.addEventListener('load', () => {
      // How long this takes is not known: words instead of a bar that says nothing.
      bar.hidden = true;
      state.textContent = 'all of it has arrived; it is being checked and stored, with its smaller pictures';
    });
    request.addEventListener('load', async () => {
      if (tries > 0 && (await renewed(request.status, brought))) {
        again();
        return;
      }
      const answer = request.response;
      if (request.status === 200) end(answer.known ? 'known' : 'added', answer.says, answer);
      else end('failed', answer?.wrong ?? `It was not added (${request.status}). Send it again.`);
    });
    request.addEventListener('error', async () => {
      if (tries === 0) {
        end('failed', 'It broke off on its way, again and again, and nothing of it was kept.');
        return;
      }
      state.textContent = 'it broke off on its way; it is sent again once the program answers';
      await known();
      again();
    });
    request.send(file);
  });
}

/** What became of the files so far, in words. */
export function told({ added, known, failed }, waiting) {
  const say = [[added, 'added'], [known, 'known already'], [failed, 'not added'], [waiting, 'waiting']];
  return say.filter(([n]) => n > 0).map(([n, what]) => `${n} ${what}`).join(', ');
}

/** Takes files that are dropped anywhere on the page, so that one that misses the field does not take the page's place. */
export function dropped(field, take) {
  document.addEventListener('dragover', (event) => {
    if (!event.dataTransfer?.types.includes('Files')) return;
    event.preventDefault();
    field.classList.add('over');
  });
  document.addEventListener('dragleave', (event) => {
    if (event.relatedTarget === null) field.classList.remove('over');
  });
  document.addEventListener('drop', (event) => {
    if (!event.dataTransfer?.files.length) return;
    event.preventDefault();
    field.classList.remove('over');
    take(event.dataTransfer);
  });
}
