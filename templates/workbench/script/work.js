// A long work: how far it has come, asked again and again until it has ended.
import { Refused, fill, part } from './workbench.js';

const AGAIN = 1000;
const work = document.getElementById('work');
const said = document.getElementById('work-said');

/** Only what moves is put in anew, so that whoever stands on a button keeps standing there. */
function show(html) {
  const now = new DOMParser().parseFromString(html, 'text/html');
  const progress = now.getElementById('work-progress');
  if (progress) {
    document.getElementById('work-progress')?.replaceWith(document.adoptNode(progress));
    return false;
  }
  fill(work, html);
  said.textContent = work.querySelector('h2')?.textContent ?? '';
  return true;
}

async function look() {
  let ended = false;
  try {
    ended = show(await part(work.dataset.part));
  } catch (error) {
    // The program was started again: the page tells what the journal knows of it.
    if (error instanceof Refused && error.status === 404) {
      location.reload();
      return;
    }
    said.textContent = error.message;
  }
  if (!ended) setTimeout(look, AGAIN);
}

if (document.getElementById('work-running')) {
  document.documentElement.classList.add('watching');
  setTimeout(look, AGAIN / 4);
}
