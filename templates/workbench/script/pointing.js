// Places pointed at on a photograph are written into the field of a form, and what is typed there is drawn: the field alone
// says what is meant.
import { Easel, svg } from './easel.js';

const frame = document.getElementById('easel');
const picture = document.getElementById('picture');
const field = frame && document.getElementById(frame.dataset.into);

const numbers = (text) => (text.match(/-?\d+(\.\d+)?/g) ?? []).map(Number);
const pairs = (list) => list.flatMap((x, n) => (n % 2 === 0 && n + 1 < list.length ? [{ x, y: list[n + 1] }] : []));
const written = (places) => places.map(({ x, y }) => `${x},${y}`).join(' ');
const tidy = (value) => Math.round(value * 10) / 10;

// Each kind: how many places, how they are written into the field and read from it, and the ring they draw.
const across = ([a, b]) => [a, { x: b.x, y: a.y }, b, { x: a.x, y: b.y }];
const kinds = {
  corners: { most: 4, write: written, read: (text) => pairs(numbers(text)).slice(0, 4), ring: (places) => places },
  outline: {
    write: (places) => (places.length > 0 ? `outline ${written(places)}` : ''),
    read: (text) => pairs(numbers(text)),
    ring: (places) => places,
  },
  rectangle: {
    most: 2,
    write([a, b]) {
      if (!b) return '';
      return [Math.min(a.x, b.x), Math.min(a.y, b.y), Math.abs(a.x - b.x), Math.abs(a.y - b.y)].map(tidy).join(',');
    },
    read(text) {
      const [x, y, w, h] = numbers(text);
      return h === undefined ? [] : [{ x, y }, { x: x + w, y: y + h }];
    },
    ring: (places) => (places.length < 2 ? places : across(places)),
  },
  square: {
    most: 2,
    // Whole pixels, as large as the longer way allows within the picture.
    write([a, b], { width, height }) {
      if (!b) return '';
      const [right, down] = [b.x >= a.x, b.y >= a.y];
      const room = Math.min(right ? width - a.x : a.x, down ? height - a.y : a.y);
      const side = Math.floor(Math.min(Math.max(Math.abs(b.x - a.x), Math.abs(b.y - a.y)), room));
      const [x, y] = [right ? a.x : a.x - side, down ? a.y : a.y - side];
      return side > 0 ? [Math.floor(x), Math.floor(y), side].join(',') : '';
    },
    read(text) {
      const [x, y, side] = numbers(text);
      return side === undefined ? [] : [{ x, y }, { x: x + side, y: y + side }];
    },
    ring: (places) => (places.length < 2 ? places : across(places)),
  },
};

if (field) {
  const { width, height, original } = frame.dataset;
  const size = { width: Number(width), height: Number(height) };
  const draft = svg('g', { class: 'draft' });
  const says = document.getElementById('places-say');
  const pens = [...document.querySelectorAll('input[name="pen"]')];
  let kind = kinds[frame.dataset.kind];
  let places = [];
  let easel = null;

  const redraw = () => {
    const unit = 1 / easel.scale;
    const ring = kind.ring(places);
    const path = ring.length > 1 ? `M${written(ring).replaceAll(' ', 'L')}${ring.length > 2 ? 'Z' : ''}` : '';
    const lines = ['draft-halo', 'draft-line'].map((name) => svg('path', { class: name, d: path }));
    const dots = places.map(({ x, y }, at) => {
      const dot = svg('g', { 'data-at': at, class: 'draft-place' });
      dot.append(svg('circle', { class: 'draft-reach', cx: x, cy: y, r: 14 * unit }), svg('circle', { class: 'draft-dot', cx: x, cy: y, r: 5 * unit }));
      if (kind === kinds.corners) {
        const word = svg('text', { class: 'draft-word', x: x + 9 * unit, y: y - 9 * unit, 'font-size': 18 * unit });
        word.textContent = at + 1;
        dot.append(word);
      }
      return dot;
    });
    draft.replaceChildren(...lines, ...dots);
  };
  const write = () => {
    field.value = kind.write(places, size);
    says.textContent = places.length === 1 ? '1 place is set.' : `${places.length} places are set.`;
    redraw();
  };
  const read = () => {
    if (pens.length > 0 && field.value.trim()) choose(field.value.trim().startsWith('outline') ? 'outline' : 'rectangle');
    places = kind.read(field.value).map((place) => easel.within(place));
    redraw();
  };
  const choose = (name) => {
    kind = kinds[name];
    for (const pen of pens) pen.checked = pen.value === name;
  };
  const told = {
    press(place) {
      // A new one begins where one was whole.
      if (kind.most && places.length >= kind.most) places = [];
      places = [...places, place];
      write();
    },
    drag(at, place) {
      places[Number(at)] = place;
      write();
    },
    undo() {
      places = places.slice(0, -1);
      write();
    },
    leave() {
      places = [];
      write();
    },
    changed: () => easel && redraw(),
    moved: ({ x, y }) => {
      document.getElementById('cross-at').textContent = `${Math.round(x)}, ${Math.round(y)}`;
    },
  };
  easel = new Easel(frame, picture, { ...size, told, original, shown: document.getElementById('shown') });
  easel.enliven('Photograph to point on', 'easel-keys');
  frame.classList.add('drawing');
  picture.insertBefore(draft, easel.crossing);
  document.getElementById('pens').hidden = false;
  document.getElementById('easel-keys').hidden = false;
  const buttons = { undo: told.undo, nearer: () => easel.nearer(1.5), farther: () => easel.nearer(1 / 1.5), whole: () => easel.fit() };
  for (const [id, act] of Object.entries(buttons)) document.getElementById(id).addEventListener('click', act);
  for (const pen of pens) {
    pen.addEventListener('change', () => {
      choose(pen.value);
      told.leave();
    });
  }
  field.addEventListener('input', read);
  read();
}
