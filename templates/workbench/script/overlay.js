// Marks on two photographs, set in turn: the first, then the same on the second.
import './slide.js';
import { Easel, svg } from './easel.js';
import { reload, send, tellDone } from './workbench.js';

const form = document.getElementById('marks-form');
const says = document.getElementById('marks-say');
const amiss = document.getElementById('marks-amiss');

tellDone();

// One list of places in the order in which they were set: even ones on the first photograph, odd ones on the second.
const places = [];
const sides = [];

function show() {
  const marks = Math.floor(places.length / 2);
  const next = places.length % 2 === 0 ? 'Set the next on the first photograph.' : 'Now the same on the second.';
  says.textContent = `${marks} ${marks === 1 ? 'mark' : 'marks'} on both. ${next}`;
  for (const [n, side] of sides.entries()) side.redraw(places.filter((_, at) => at % 2 === n));
}

function undo() {
  places.pop();
  show();
}

function side(id, n) {
  const frame = document.getElementById(id);
  const { width, height } = frame.dataset;
  const picture = frame.querySelector('svg');
  const drawn = svg('g', { class: 'draft' });
  let set = [];
  let easel = null;
  const redraw = (list) => {
    set = list;
    const unit = 1 / easel.scale;
    drawn.replaceChildren(...set.flatMap(({ x, y }, at) => {
      const word = svg('text', { class: 'draft-word', x: x + 9 * unit, y: y - 9 * unit, 'font-size': 18 * unit });
      word.textContent = at + 1;
      return [svg('circle', { class: 'draft-dot', cx: x, cy: y, r: 5 * unit }), word];
    }));
  };
  frame.classList.add('drawing');
  easel = new Easel(frame, picture, {
    width: Number(width),
    height: Number(height),
    told: {
      press(place) {
        if (places.length % 2 !== n) {
          amiss.textContent = n === 0 ? 'Set the mark on the second photograph first.' : 'Begin with the first photograph.';
          return;
        }
        amiss.textContent = '';
        places.push(place);
        show();
      },
      undo,
      changed: () => easel && redraw(set),
    },
  });
  easel.enliven(`${n === 0 ? 'First' : 'Second'} photograph, to set marks on`);
  picture.insertBefore(drawn, easel.crossing);
  return { redraw };
}

if (form) {
  sides.push(side('first', 0), side('second', 1));
  document.getElementById('marks-undo').addEventListener('click', undo);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    const marks = [];
    for (let at = 0; at + 1 < places.length; at += 2) {
      marks.push(`${places[at].x},${places[at].y}=${places[at + 1].x},${places[at + 1].y}`);
    }
    try {
      await send(location.pathname, { marks: marks.join(' '), instead: form.elements.instead.value });
      reload(`Laid over by ${marks.length} marks.`);
    } catch (error) {
      amiss.textContent = error.message;
    }
  });
  show();
}
