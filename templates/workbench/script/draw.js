// Drawing on a photograph: places are set by pointer or keys, their sizes come from the server, and what is kept is drawn
// by the server again.
import { Easel, svg } from './easel.js';
import { long } from './long.js';
import { part, refresh, send } from './workbench.js';

const studio = document.getElementById('studio');
const frame = document.getElementById('easel');
const picture = document.getElementById('picture');
const box = document.getElementById('draft-box');
const says = document.getElementById('draft-says');
const list = document.getElementById('draft-figures');
const amiss = document.getElementById('draft-amiss');
const done = document.getElementById('done');
const forms = { region: document.getElementById('region-form'), scale: document.getElementById('scale-form') };
const buttons = Object.fromEntries(['undo', 'redo', 'hole', 'nearer', 'farther', 'whole'].map((id) => [id, document.getElementById(id)]));
const to = studio.dataset.to;

// A ring is a list of places; after the first come the holes.
let pen = 'look';
let rings = [[]];
let past = [];
let future = [];
let holding = null;
const most = { point: 1, length: 2, rectangle: 4 };
const wanted = {
  point: 'Set one place.',
  line: 'Set the places along it; three give the angle at the middle one.',
  outline: 'Set the places round it; the last joins the first by itself.',
  length: 'Set the two ends of a known length, a bar or a rule that lies in the plane of the piece.',
  rectangle: 'Set the four corners of a known rectangle, in order round it. The first side of its size joins the first two.',
};

const draft = svg('g', { class: 'draft' });

function isScale() {
  return pen === 'length' || pen === 'rectangle';
}

function pair({ x, y }) {
  return `${x},${y}`;
}

/** The draft as the record writes it; blank while there are too few places for its kind. Only an outline has holes. */
function shape() {
  const [around, ...holes] = rings.map((ring) => ring.map(pair).join(' '));
  const enough = { point: 1, line: 2, outline: 3 }[pen];
  if (!enough || rings[0].length < enough) return '';
  const ready = pen === 'outline' ? holes.filter((_, n) => rings[n + 1].length >= 3) : [];
  return [`${pen} ${around}`, ...ready.map((hole) => `hole ${hole}`)].join(' ');
}

function redraw() {
  const unit = 1 / easel.scale;
  const closed = pen === 'outline' || pen === 'rectangle';
  const path = rings.filter((ring) => ring.length > 0).map((ring) => `M${ring.map(pair).join('L')}${closed && ring.length > 2 ? 'Z' : ''}`).join('');
  const lines = ['draft-halo', 'draft-line'].map((name) => svg('path', { class: name, d: path }));
  const dots = rings.flatMap((ring, r) => ring.map(({ x, y }, n) => {
    const dot = svg('g', { 'data-at': `${r} ${n}`, class: 'draft-place' });
    dot.append(
      svg('circle', { class: 'draft-reach', cx: x, cy: y, r: 14 * unit }),
      svg('circle', { class: 'draft-dot', cx: x, cy: y, r: 5 * unit }),
    );
    return dot;
  }));
  draft.replaceChildren(...lines, ...dots);
}

function show() {
  redraw();
  const scale = isScale();
  const drawing = pen !== 'look';
  box.hidden = !drawing;
  forms.region.hidden = scale || !shape();
  forms.scale.hidden = !scale || rings[0].length < most[pen];
  document.getElementById('outlines-field').hidden = pen !== 'outline';
  document.getElementById('known-field').hidden = pen !== 'rectangle';
  document.getElementById('size-label').textContent = pen === 'rectangle' ? 'How large it is, width x height' : 'How long it is';
  document.getElementById('size-hint').textContent = pen === 'rectangle' ? '20 x 15 cm; a comma is understood' : '10 cm, 4 in; a comma is understood';
  says.textContent = drawing ? wanted[pen] : '';
  if (buttons.undo) {
    buttons.undo.disabled = past.length === 0;
    buttons.redo.disabled = future.length === 0;
    buttons.hole.disabled = pen !== 'outline' || rings.at(-1).length < 3;
  }
  ask();
}

function change(next) {
  past.push(JSON.stringify(rings));
  future = [];
  rings = next;
  show();
}

function turn(from, onto) {
  if (from.length === 0) return;
  onto.push(JSON.stringify(rings));
  rings = JSON.parse(from.pop());
  show();
}

function drop() {
  [rings, past, future] = [[[]], [], []];
  for (const form of Object.values(forms)) form?.reset();
  const sought = document.getElementById('sought-scale');
  if (sought) sought.textContent = '';
  show();
}

// The figures: asked a moment after the last place, and only the last answer counts.
let later = 0;
let asking = null;
function ask() {
  clearTimeout(later);
  asking?.abort();
  const size = document.getElementById('size')?.value.trim();
  const places = rings[0].map(pair).join(' ');
  const scale = isScale() && rings[0].length === most[pen] && size ? { ...Object.fromEntries(new FormData(forms.scale)), places } : null;
  if (!scale && (isScale() || pen === 'look' || pen === 'point' || !shape())) {
    list.replaceChildren();
    amiss.textContent = '';
    return;
  }
  later = setTimeout(async () => {
    asking = new AbortController();
    try {
      const answer = await send(`${to}/figures`, scale ? { scale } : { shape: shape() }, { signal: asking.signal });
      const lines = [...answer.figures];
      if (answer.holds) lines.push(answer.holds);
      else if (!scale) lines.push('no scale is set: in pixels only');
      list.replaceChildren(...lines.map((text) => Object.assign(document.createElement('li'), { textContent: text })));
      amiss.textContent = '';
    } catch (error) {
      if (error.name === 'AbortError') return;
      list.replaceChildren();
      amiss.textContent = error.message;
    }
  }, 150);
}

async function keep(address, value, told) {
  amiss.textContent = '';
  try {
    const answer = await send(`${to}/${address}`, value);
    await leave();
    done.textContent = told(answer);
  } catch (error) {
    amiss.textContent = error.message;
    both(error.answer);
  }
}

// What was drawn is done with: the page shows what stands.
async function leave() {
  drop();
  both(null);
  choose('look');
  easel.hideCross();
  await refresh('drawn', 'recorded', 'instead');
}

// The scale that somebody else set meanwhile beside one's own; which of them holds is chosen with both in sight.
function both(answer) {
  const there = answer?.theirs !== undefined;
  document.getElementById('scale-both').hidden = !there;
  document.getElementById('set-scale').textContent = there ? 'Set yours in its place' : 'Set the scale';
  if (!there) return;
  for (const whose of ['theirs', 'mine']) {
    const lines = answer[whose].map((text) => Object.assign(document.createElement('li'), { textContent: text }));
    document.getElementById(`scale-${whose}`).replaceChildren(...lines);
  }
  document.getElementById('instead').value = answer.stands;
}

function choose(name) {
  pen = name;
  const radio = document.querySelector(`input[name="pen"][value="${name}"]`);
  if (radio) radio.checked = true;
  frame.classList.toggle('drawing', pen !== 'look');
  show();
}

// What was found may be a bar or a target, or check cloth: it fills in the form, to be looked at and set by hand. Asked
// again, the next one is offered.
let offers = null;
async function seek() {
  const says = document.getElementById('sought-scale');
  if (!offers || offers.length === 0) {
    const stopped = new AbortController();
    const end = long(says, 'Looking at every pixel for a ruled bar or a colour target', () => stopped.abort());
    try {
      offers = JSON.parse(await part(`${to}/scale/found`, { signal: stopped.signal }));
    } catch (error) {
      if (error.name !== 'AbortError') end(error.message);
      return;
    }
    end();
  }
  const offer = offers.shift();
  if (!offer) {
    says.textContent = 'No ruled bar and no colour target was found; point at the ends of a known length yourself.';
    return;
  }
  const more = offers.length > 0 ? ` Press again for the next of ${offers.length} more.` : '';
  says.textContent = `${offer.says} Nothing is set yet.${more}`;
  [rings, past, future] = [[[]], [], []];
  choose(offer.pen);
  document.getElementById('size').value = offer.size;
  document.getElementById('tolerance').value = offer.tolerance;
  change([offer.places.split(' ').map((place) => {
    const [x, y] = place.split(',').map(Number);
    return { x, y };
  })]);
}

const told = {
  press(place) {
    if (pen === 'look') return;
    const ring = rings.at(-1);
    if (most[pen] && ring.length >= most[pen]) return;
    done.textContent = '';
    change([...rings.slice(0, -1), [...ring, place]]);
    if (isScale() && rings[0].length === most[pen]) document.getElementById('size').focus();
  },
  drag(at, place) {
    holding ??= JSON.stringify(rings);
    const [r, n] = at.split(' ').map(Number);
    rings[r][n] = place;
    redraw();
  },
  dragged() {
    if (!holding) return;
    past.push(holding);
    [holding, future] = [null, []];
    show();
  },
  undo: () => turn(past, future),
  redo: () => turn(future, past),
  leave: () => drop(),
  changed() {
    if (easel) redraw();
  },
  moved: ({ x, y }) => {
    document.getElementById('cross-at').textContent = `${Math.round(x)}, ${Math.round(y)}`;
  },
};

let easel = null;
if (frame) {
  document.getElementById('pens').hidden = false;
  document.getElementById('easel-keys').hidden = false;
  const { width, height, original } = studio.dataset;
  const shown = document.getElementById('shown');
  easel = new Easel(frame, picture, { width: Number(width), height: Number(height), told, shown, original });
  easel.enliven('Photograph to draw on', 'easel-keys');
  picture.insertBefore(draft, easel.crossing);
  for (const radio of document.querySelectorAll('input[name="pen"]')) {
    radio.addEventListener('change', () => {
      // Points of a line serve an outline as well; what a scale is taken from is something else.
      const keeps = ['line', 'outline'];
      if (!(keeps.includes(pen) && keeps.includes(radio.value))) [rings, past, future] = [[[]], [], []];
      // A line has no holes; a step back brings them again.
      if (radio.value === 'line' && rings.length > 1) change([rings[0]]);
      choose(radio.value);
    });
  }
  document.getElementById('seek-scale')?.addEventListener('click', seek);
  buttons.undo?.addEventListener('click', told.undo);
  buttons.redo?.addEventListener('click', told.redo);
  buttons.hole?.addEventListener('click', () => {
    change([...rings, []]);
    frame.focus();
  });
  buttons.nearer.addEventListener('click', () => easel.nearer(1.5));
  buttons.farther.addEventListener('click', () => easel.nearer(1 / 1.5));
  buttons.whole.addEventListener('click', () => easel.fit());
  for (const id of ['drop-draft', 'drop-scale']) document.getElementById(id).addEventListener('click', drop);
  document.getElementById('scale-keep').addEventListener('click', leave);
  for (const id of ['size', 'tolerance', 'known', 'pointing']) document.getElementById(id).addEventListener('input', ask);
  forms.region.addEventListener('submit', (event) => {
    event.preventDefault();
    const fields = Object.fromEntries(new FormData(forms.region));
    if (pen !== 'outline') fields.outlines = '';
    keep('regions', { ...fields, shape: shape() }, ({ label }) => `Region ${label} is kept.`);
  });
  forms.scale.addEventListener('submit', (event) => {
    event.preventDefault();
    const fields = Object.fromEntries(new FormData(forms.scale));
    keep('scale', { ...fields, places: rings[0].map(pair).join(' ') }, () => 'The scale is set. All sizes follow it.');
  });
  addEventListener('beforeunload', (event) => {
    if (rings[0].length > 0) event.preventDefault();
  });
  show();
}
