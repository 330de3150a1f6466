// Whether this browser is known, and whether anybody answers. Where not, the window says so in one line, asks again and again,
// and goes on by itself: the program may have been started again, and then every writing request brings another token.

const AGAIN = 1500;
/** Under whose name this window was opened. */
const by = document.body.dataset.by ?? '';
let held = document.querySelector('meta[name="token"]')?.content ?? '';
let waiting = null;

/** What every writing request brings. */
export const token = () => held;

/** Whether nobody answers just now, or this browser is not known. */
export const waits = () => waiting !== null;

const rest = (ms) => new Promise((done) => { setTimeout(done, ms); });

function say(...words) {
  const line = document.getElementById('away') ?? Object.assign(document.createElement('p'), { id: 'away', className: 'away' });
  line.setAttribute('role', 'status');
  const said = words.map((word) => (typeof word === 'string' ? word : word.href)).join('');
  if (line.dataset.said !== said) line.replaceChildren(...words);
  line.dataset.said = said;
  if (!line.isConnected) document.body.append(line);
}

function hush() {
  document.getElementById('away')?.remove();
}

const link = (href, textContent) => Object.assign(document.createElement('a'), { href, textContent, target: '_blank' });
const ask = (options) => fetch('/token', { cache: 'no-store', credentials: 'same-origin', ...options });

/** Takes the token of this browser by now, and says what is in the way; gives whether nothing is. */
async function look() {
  let answer;
  let told;
  try {
    answer = await ask();
    told = await answer.json();
  } catch {
    say('The program does not answer. What you typed stays in this window, which goes on by itself once it answers again.');
    return false;
  }
  if (!answer.ok) {
    const way = told.sign_in ? [' ', link(told.sign_in, 'Sign in')] : [];
    say(told.wrong ?? 'The program does not know this browser.', ...way);
    return false;
  }
  if (told.accounts && by && told.name !== by) {
    // What was typed here is not entered under the name of somebody else.
    say(`${told.name} is signed in at this browser by now, and this window was opened by ${by}. What is typed here waits until ${by} signs in again; loaded anew, the window is ${told.name}’s.`);
    return false;
  }
  held = told.token;
  for (const field of document.querySelectorAll('input[type="hidden"][name="token"]')) field.value = held;
  if (!told.accounts && by && !told.name) await name();
  hush();
  return true;
}

/** Whoever came by a link goes on under the name that this window was opened with. */
async function name() {
  await fetch('/name', { method: 'POST', headers: { 'x-dimity-token': held }, body: new URLSearchParams({ name: by }) }).catch(() => {});
}

/** Waits until the program answers and knows this browser. */
export function known() {
  waiting ??= (async () => {
    document.dispatchEvent(new Event('waits'));
    while (!(await look())) await Promise.race([rest(AGAIN), new Promise((done) => { addEventListener('focus', done, { once: true }); })]);
  })().finally(() => { waiting = null; });
  return waiting;
}

/** Whether a request that was answered so should be sent again: it brought the token of another run. Waits for the new one. */
export async function renewed(status, brought) {
  if (status !== 401 && status !== 403) return false;
  if (status === 403 && (!brought || brought === held)) {
    const now = await ask().then((answer) => (answer.status === 200 ? answer.json() : {})).catch(() => ({}));
    if (now.token === brought) return false;
  }
  if (status === 401 || brought === held) await known();
  return true;
}

// A plain form: its token is brought up to date before it goes. Where that cannot be, it does not go, and all that was filled
// in stays.
const passed = new WeakSet();
document.addEventListener('submit', async (event) => {
  const form = event.target;
  const field = form.querySelector('input[type="hidden"][name="token"]');
  if (event.defaultPrevented || !field || form.method !== 'post') return;
  if (passed.delete(form)) return;
  event.preventDefault();
  if (waiting === null && (await look())) {
    passed.add(form);
    form.requestSubmit(event.submitter);
    passed.delete(form);
    return;
  }
  await known();
  say('The program answers again. What you filled in still stands here: send it once more.');
});
