// A picture that one comes nearer to: wheel, pinch, drag and keys move the window on it. All places are pixels of the
// upright original, so that what is drawn stays where it is however near one is.

const SVG = 'http://www.w3.org/2000/svg';
const NEAREST = 40;
/** From so many pixels across on, a view of the whole is too coarse to point on. */
const COARSE = 2400;

/** An element of SVG. */
export function svg(name, attributes = {}) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

export class Easel {
  /**
   * `frame` holds the SVG `picture` and takes the keys. What one does is told to `told`: `press(place)` for a place set,
   * `drag(at, place)` and `dragged()` for a set place that is moved, `undo()`, `redo()`, `leave()`, `moved(place)` for the
   * cross, `changed()` when the window moved. Near by, the `original` takes the place of what `shown` shows, if a browser can
   * show its kind and it is as large as the record says.
   */
  constructor(frame, picture, { width, height, told, shown, original }) {
    Object.assign(this, { frame, picture, width, height, told, shown, original });
    this.centre = { x: width / 2, y: height / 2 };
    this.scale = 0;
    this.cross = null;
    this.fingers = new Map();
    this.crossing = svg('g', { class: 'cross' });
    this.crossing.append(svg('path', { class: 'cross-halo' }), svg('path', { class: 'cross-line' }));
    picture.append(this.crossing);
    picture.style.aspectRatio = `${width} / ${height}`;
    new ResizeObserver(() => this.show()).observe(frame);
    this.listen();
    this.show();
  }

  size() {
    const { width, height } = this.picture.getBoundingClientRect();
    return { wide: Math.max(width, 1), tall: Math.max(height, 1) };
  }

  /** The scale at which the whole is seen. */
  whole() {
    const { wide, tall } = this.size();
    return Math.min(wide / this.width, tall / this.height);
  }

  show() {
    const { wide, tall } = this.size();
    const least = this.whole();
    this.scale = Math.min(Math.max(this.scale, least), Math.max(NEAREST, least));
    const keep = (value, half, length) => (length <= 2 * half ? length / 2 : Math.min(Math.max(value, half), length - half));
    const [w, h] = [wide / this.scale, tall / this.scale];
    this.centre.x = keep(this.centre.x, w / 2, this.width);
    this.centre.y = keep(this.centre.y, h / 2, this.height);
    this.picture.setAttribute('viewBox', `${this.centre.x - w / 2} ${this.centre.y - h / 2} ${w} ${h}`);
    const at = this.cross;
    const lines = at ? `M${at.x} 0V${this.height}M0 ${at.y}H${this.width}` : '';
    for (const path of this.crossing.children) path.setAttribute('d', lines);
    this.told.changed?.();
    this.sharpen();
  }

  sharpen() {
    if (!this.original || !this.shown || this.scale * this.width < COARSE) return;
    const fine = new Image();
    fine.addEventListener('load', () => {
      if (fine.naturalWidth === this.width) this.shown.setAttribute('href', fine.src);
    });
    [fine.src, this.original] = [this.original, ''];
  }

  /** Makes it live: it takes the focus and the keys, and says what it is for. */
  enliven(name, keys) {
    this.frame.classList.add('live');
    this.frame.tabIndex = 0;
    this.frame.setAttribute('role', 'application');
    this.frame.setAttribute('aria-label', name);
    if (keys) this.frame.setAttribute('aria-describedby', keys);
    this.fit();
  }

  /** The place under a point of the window, within the picture. */
  place(clientX, clientY) {
    const box = this.picture.getBoundingClientRect();
    return this.within({
      x: this.centre.x + (clientX - box.left - box.width / 2) / this.scale,
      y: this.centre.y + (clientY - box.top - box.height / 2) / this.scale,
    });
  }

  within({ x, y }) {
    const tidy = (value, most) => Math.round(Math.min(Math.max(value, 0), most) * 10) / 10;
    return { x: tidy(x, this.width), y: tidy(y, this.height) };
  }

  /** Comes nearer by a factor, so that what lies under a point of the window stays there. */
  nearer(factor, clientX, clientY) {
    const box = this.picture.getBoundingClientRect();
    const [dx, dy] = clientX === undefined ? [0, 0] : [clientX - box.left - box.width / 2, clientY - box.top - box.height / 2];
    const before = this.scale;
    const about = clientX === undefined && this.cross ? this.cross : null;
    this.scale = Math.min(Math.max(before * factor, this.whole()), NEAREST);
    if (about) {
      this.centre.x = about.x - ((about.x - this.centre.x) * before) / this.scale;
      this.centre.y = about.y - ((about.y - this.centre.y) * before) / this.scale;
    } else {
      this.centre.x += dx / before - dx / this.scale;
      this.centre.y += dy / before - dy / this.scale;
    }
    this.show();
  }

  fit() {
    this.scale = 0;
    this.show();
  }

  pan(dx, dy) {
    this.centre.x -= dx / this.scale;
    this.centre.y -= dy / this.scale;
    this.show();
  }

  /** Moves the cross, and the window with it where it would leave. */
  step(dx, dy) {
    this.cross = this.within({ x: (this.cross?.x ?? this.centre.x) + dx, y: (this.cross?.y ?? this.centre.y) + dy });
    const { wide, tall } = this.size();
    const edge = (at, centre, half) => Math.sign(at - centre) * Math.max(0, Math.abs(at - centre) - half * 0.85);
    this.centre.x += edge(this.cross.x, this.centre.x, wide / this.scale / 2);
    this.centre.y += edge(this.cross.y, this.centre.y, tall / this.scale / 2);
    this.show();
    this.told.moved?.(this.cross);
  }

  /** Sets a place where the cross is; the first time it only shows the cross. */
  set() {
    if (this.cross) this.told.press?.(this.cross);
    else this.step(0, 0);
  }

  hideCross() {
    this.cross = null;
    this.show();
  }

  listen() {
    const { picture, frame } = this;
    picture.addEventListener('wheel', (event) => {
      event.preventDefault();
      const lines = event.deltaMode === 1 ? 30 : 1;
      // With Shift, or rolled sideways, it moves along the picture, with Alt up and down. Some browsers turn a wheel with Shift
      // sideways themselves.
      if (event.altKey) this.pan(0, -event.deltaY * lines);
      else if (event.shiftKey) this.pan(-(event.deltaX || event.deltaY) * lines, 0);
      else if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) this.pan(-event.deltaX * lines, 0);
      else this.nearer(Math.exp(-event.deltaY * lines * 0.002), event.clientX, event.clientY);
    }, { passive: false });
    picture.addEventListener('pointerdown', (event) => {
      if (event.button !== 0) return;
      picture.setPointerCapture(event.pointerId);
      const at = event.target.closest('[data-at]')?.dataset.at;
      this.fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      this.hold = this.fingers.size === 1 ? { x: event.clientX, y: event.clientY, at, moved: false } : null;
      if (this.cross) this.hideCross();
    });
    picture.addEventListener('pointermove', (event) => {
      const before = this.fingers.get(event.pointerId);
      if (!before) return;
      const now = { x: event.clientX, y: event.clientY };
      if (this.fingers.size === 2) {
        const [other] = [...this.fingers].filter(([id]) => id !== event.pointerId).map(([, finger]) => finger);
        const apart = (finger) => Math.hypot(finger.x - other.x, finger.y - other.y);
        this.pan((now.x - before.x) / 2, (now.y - before.y) / 2);
        if (apart(before) > 0) this.nearer(apart(now) / apart(before), (now.x + other.x) / 2, (now.y + other.y) / 2);
      } else if (this.hold) {
        if (Math.hypot(now.x - this.hold.x, now.y - this.hold.y) > 5) this.hold.moved = true;
        if (this.hold.moved && this.hold.at !== undefined) this.told.drag?.(this.hold.at, this.place(now.x, now.y));
        else if (this.hold.moved) this.pan(now.x - before.x, now.y - before.y);
      }
      this.fingers.set(event.pointerId, now);
    });
    const up = (event) => {
      if (!this.fingers.delete(event.pointerId)) return;
      const hold = this.hold;
      this.hold = null;
      if (!hold || event.type === 'pointercancel') return;
      if (!hold.moved) this.told.press?.(this.place(event.clientX, event.clientY));
      else if (hold.at !== undefined) this.told.dragged?.();
    };
    picture.addEventListener('pointerup', up);
    picture.addEventListener('pointercancel', up);
    frame.addEventListener('keydown', (event) => this.key(event));
  }

  key(event) {
    if (event.altKey) return;
    const { wide } = this.size();
    // Four steps: a pixel, a little, usual, far.
    const usual = wide / this.scale / 40;
    const far = event.ctrlKey || event.metaKey ? 1 : event.shiftKey ? usual * 5 : usual;
    const arrows = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] };
    const command = event.ctrlKey || event.metaKey;
    const acts = {
      Enter: () => this.set(),
      ' ': () => this.set(),
      Backspace: () => this.told.undo?.(),
      Escape: () => this.told.leave?.(),
      '+': () => this.nearer(1.25),
      '=': () => this.nearer(1.25),
      '-': () => this.nearer(0.8),
      0: () => this.fit(),
    };
    let act = arrows[event.key] ? () => this.step(...arrows[event.key]) : command ? undefined : acts[event.key];
    if (command && event.key.toLowerCase() === 'z') act = () => (event.shiftKey ? this.told.redo?.() : this.told.undo?.());
    if (command && event.key.toLowerCase() === 'y') act = () => this.told.redo?.();
    if (!act) return;
    event.preventDefault();
    act();
  }
}
