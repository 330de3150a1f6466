// What every page shares: sending with the token, saying what went wrong, times by the reader's clock.
import { known, renewed, token } from './known.js';
import './long.js';

/** A request that was answered with something else than success; `status` and `answer` say with what. */
export class Refused extends Error {
  constructor(status, answer) {
    super(answer?.wrong ?? 'The program did not understand this. Try again; what you typed is still here.');
    this.status = status;
    this.answer = answer;
  }
}

/** Nobody answered, or the answer was lost: whether the request was done is not known. */
export class Unanswered extends Error {
  constructor() {
    super('The program does not answer. Is it still running? What you typed is still here.');
  }
}

/**
 * Sends a value as JSON and gives the answer; throws `Refused` or `Unanswered`. Where this browser is not known any more it
 * waits until it is, and then sends it again: nothing was done before.
 */
export async function send(address, value, { signal, keepalive } = {}) {
  const body = JSON.stringify(value);
  const answer = await reach(address, { method: 'POST', body, signal, keepalive });
  return answer.json();
}

/** Fetches a part of a page as text. */
export async function part(address, { signal } = {}) {
  const answer = await reach(address, { headers: { accept: 'text/plain' }, signal });
  return answer.text();
}

async function reach(address, options) {
  const brought = options.body === undefined ? '' : token();
  const headers = brought ? { 'content-type': 'application/json', 'x-dimity-token': brought } : options.headers;
  let answer;
  try {
    answer = await fetch(address, { credentials: 'same-origin', ...options, headers });
  } catch (error) {
    if (error.name === 'AbortError') throw error;
    known();
    throw new Unanswered();
  }
  if (answer.ok) return answer;
  const told = await answer.json().catch(() => null);
  if (await renewed(answer.status, brought)) return reach(address, options);
  throw new Refused(answer.status, told);
}

const day = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'long', year: 'numeric' });
const clock = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });

/** Shows a moment by the clock of whoever reads: the server wrote it by its own, which may stand in another zone. */
function local(time) {
  const at = new Date(time.dateTime);
  // A day of the calendar is none, and stands the same everywhere.
  if (!time.dateTime.includes('T') || Number.isNaN(at.getTime())) return;
  time.title = `${time.textContent} by the clock of the program`;
  time.textContent = `${day.format(at)}, ${clock.format(at)}`;
}
const moments = (within) => within.querySelectorAll('time[datetime]:not([title])').forEach(local);
moments(document);
// And in whatever is put into the page later.
new MutationObserver((changes) => {
  for (const { addedNodes } of changes) {
    for (const node of addedNodes) if (node instanceof Element) moments(node.parentElement ?? node);
  }
}).observe(document.body, { childList: true, subtree: true });

/** An element with properties and what it holds. */
export function make(name, properties = {}, ...children) {
  const element = Object.assign(document.createElement(name), properties);
  element.append(...children);
  return element;
}

/** Puts what the server shows at this address by now in place of the elements with these names. */
export async function refresh(...ids) {
  const page = new DOMParser().parseFromString(await part(location.href), 'text/html');
  for (const id of ids) {
    const [old, now] = [document.getElementById(id), page.getElementById(id)];
    if (old && now) old.replaceWith(document.adoptNode(now));
  }
}

/** Loads the page again, and says there what was done. */
export function reload(done) {
  sessionStorage.setItem('done', done);
  location.reload();
}

/** Says what was done before the page was loaded again. */
export function tellDone() {
  const told = sessionStorage.getItem('done');
  if (!told) return;
  sessionStorage.removeItem('done');
  document.getElementById('done').textContent = told;
}

/** Puts a part, as the server laid it out, in place of what an element holds. The server escapes all records. */
export function fill(element, html) {
  const parsed = new DOMParser().parseFromString(html, 'text/html');
  element.replaceChildren(...parsed.body.childNodes);
}
