// What takes long and cannot tell how far it has come: what is being done, since when, and a way to stop it.

const make = (name, properties = {}) => Object.assign(document.createElement(name), properties);
/** So long something may take before that is said. */
const SOON = 600;

/** Says so in this place; gives what ends it, with other words or none. `stop` is called where somebody stops it. */
export function long(place, words, stop) {
  const began = Date.now();
  // Seconds are for the eye: who listens is told once.
  const since = make('span');
  since.setAttribute('aria-hidden', 'true');
  const count = () => { since.textContent = ` ${Math.round((Date.now() - began) / 1000)} s `; };
  const button = make('button', { type: 'button', className: 'plain', textContent: 'Stop' });
  let ticks = 0;
  const show = setTimeout(() => {
    count();
    place.replaceChildren(`${words} …`, since, button);
    ticks = setInterval(count, 1000);
  }, SOON);
  const end = (says = '') => {
    clearTimeout(show);
    clearInterval(ticks);
    place.textContent = says;
  };
  button.addEventListener('click', () => {
    end('Stopped; nothing was changed.');
    stop();
  });
  return end;
}

// A link or a form that is answered by a page: the browser waits for it, and stops waiting; what nobody waits for any more ends
// before its next step.
let leaving = null;
function leave(from) {
  leaving?.();
  const place = from.parentElement.querySelector('.long-work') ?? make('p', { className: 'hint long-work' });
  place.setAttribute('role', 'status');
  from.after(place);
  leaving = long(place, from.dataset.long, () => window.stop());
}
document.addEventListener('click', (event) => {
  const link = event.target.closest?.('a[data-long]');
  if (link && !event.defaultPrevented && !event.ctrlKey && !event.metaKey && !event.shiftKey) leave(link);
});
document.addEventListener('submit', (event) => {
  if (!event.defaultPrevented && event.target.dataset.long) leave(event.target);
});
// Back on this page, nothing is waited for.
addEventListener('pageshow', () => leaving?.());
