// Keeps the draft at the server: one message at a time, each with the version that this window saw and a name of its own. Where
// nobody answers it is sent until somebody does; the server knows it by its name, and does not do it twice.
import { known, waits } from './known.js';
import { Refused, send } from './workbench.js';

/** So long one waits for the next keystroke before what was typed is sent. */
const PAUSE = 90;
const AGAIN = 2000;
/** A browser sends no more than 64 KiB after its page is gone. */
const AFTER_ALL = 60_000;

export class Keeper {
  constructor(root, { elsewhere, state }) {
    this.address = root.dataset.address;
    this.version = Number(root.dataset.version);
    this.window = crypto.randomUUID ? crypto.randomUUID() : String(Math.random());
    this.count = 0;
    this.elsewhere = elsewhere;
    this.state = state;
    this.last = Promise.resolve();
    this.waiting = null;
    this.bringing = null;
    this.timer = 0;
    document.addEventListener('waits', () => this.state('not kept', ''));
    // The lid is closed: what was typed is sent at once, and the browser sends it even if the page goes.
    addEventListener('visibilitychange', () => { if (document.visibilityState === 'hidden') this.flush(); });
    addEventListener('pagehide', () => this.flush());
  }

  /** Sends a message after those before it. Throws `Refused`, or an error in words. */
  send(what, value) {
    const next = this.last.then(() => this.now(what, value));
    this.last = next.catch(() => {});
    return next;
  }

  async now(what, value) {
    this.count += 1;
    const message = { ...value, version: this.version, window: `${this.window} ${this.count}` };
    const keepalive = what === 'typed' && value.text.length < AFTER_ALL;
    for (;;) {
      try {
        const answer = await send(`${this.address}/${what}`, message, { keepalive });
        if (answer.version) this.version = answer.version;
        return answer;
      } catch (error) {
        if (error instanceof Refused) {
          if (error.answer?.elsewhere) this.elsewhere(error.answer);
          else if (error.answer?.version) this.version = error.answer.version;
          throw error;
        }
        await new Promise((done) => { setTimeout(done, PAUSE); });
        await known();
      }
    }
  }

  /** Keeps what stands in the line; of several that come quickly the last is sent. */
  typed(value, understood) {
    this.waiting = { value, understood };
    this.state(waits() ? 'not kept' : 'writing', '');
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), PAUSE);
  }

  /** Sends what was typed, of it the last; done when all of it was answered. */
  flush() {
    clearTimeout(this.timer);
    this.bringing ??= this.bring().finally(() => { this.bringing = null; });
    return this.bringing;
  }

  async bring() {
    while (this.waiting) {
      const waiting = this.waiting;
      this.waiting = null;
      try {
        const answer = await this.send('typed', waiting.value);
        if (!this.waiting) this.state('kept');
        waiting.understood(answer);
      } catch (error) {
        this.state('not kept', error.message);
        // Another window's draft is not written over; anything else is tried again.
        if (error instanceof Refused && error.answer?.elsewhere) return;
        this.waiting ??= waiting;
        this.timer = setTimeout(() => this.flush(), AGAIN);
        return;
      }
    }
  }

  /** Nothing typed is on its way any more: it became a line. */
  settle() {
    clearTimeout(this.timer);
    this.waiting = null;
  }
}
