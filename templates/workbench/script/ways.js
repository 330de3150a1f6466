// The words offered below the writing line: a list one walks with the arrow keys while the cursor stays in the line.

export class Ways {
  constructor(input, list, take) {
    this.input = input;
    this.list = list;
    this.take = take;
    this.all = [];
    this.at = -1;
    // Before the line loses the focus.
    list.addEventListener('mousedown', (event) => event.preventDefault());
    list.addEventListener('click', (event) => {
      const option = event.target.closest('[role="option"]');
      if (option) this.choose(Number(option.dataset.at));
    });
  }

  get open() {
    return !this.list.hidden;
  }

  show(ways) {
    this.all = ways;
    this.at = -1;
    this.list.replaceChildren(...ways.map((way, i) => this.option(way, i)));
    this.list.hidden = ways.length === 0;
    this.input.setAttribute('aria-expanded', String(ways.length > 0));
    this.input.removeAttribute('aria-activedescendant');
  }

  hide() {
    this.show([]);
  }

  option(way, i) {
    const option = document.createElement('li');
    option.id = `way-${i}`;
    option.dataset.at = i;
    option.setAttribute('role', 'option');
    option.setAttribute('aria-selected', 'false');
    const word = document.createElement('b');
    word.textContent = way.with;
    const means = document.createElement('span');
    means.className = 'sit-way-means';
    const kind = document.createElement('span');
    kind.className = 'sit-way-kind';
    kind.textContent = way.kind;
    means.append(kind, way.means ? `: ${way.means}` : '');
    option.append(word, means);
    return option;
  }

  move(by) {
    const count = this.all.length;
    this.at = (this.at + by + count + (this.at < 0 && by < 0 ? 1 : 0)) % count;
    this.list.querySelectorAll('[role="option"]').forEach((option, i) => {
      option.setAttribute('aria-selected', String(i === this.at));
      if (i === this.at) option.scrollIntoView({ block: 'nearest' });
    });
    this.input.setAttribute('aria-activedescendant', `way-${this.at}`);
  }

  choose(at = this.at) {
    const way = this.all[at];
    this.hide();
    if (way) this.take(way);
  }

  /** Whether the key was for the list. */
  key(event) {
    if (!this.open) return false;
    if (event.key === 'ArrowDown') this.move(1);
    else if (event.key === 'ArrowUp' && this.at >= 0) this.move(-1);
    else if (event.key === 'Enter' && this.at >= 0 && !event.ctrlKey && !event.metaKey) this.choose();
    else if (event.key === 'Tab' && this.at >= 0) this.choose();
    else if (event.key === 'Escape') this.hide();
    else return false;
    event.preventDefault();
    return true;
  }
}
