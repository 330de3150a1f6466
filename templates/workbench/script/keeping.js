// Keeps the draft at the server: one message at a time, each with the version that this window saw.
import { Refused, send } from './workbench.js';

/** So long one waits for the next keystroke before what was typed is sent. */
const PAUSE = 90;
const AGAIN = 2000;

export class Keeper {
  constructor(root, { elsewhere, state }) {
    this.address = root.dataset.address;
    this.version = Number(root.dataset.version);
    this.window = crypto.randomUUID ? crypto.randomUUID() : String(Math.random());
    this.elsewhere = elsewhere;
    this.state = state;
    this.last = Promise.resolve();
    this.waiting = null;
    this.timer = 0;
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
    try {
      const message = { ...value, version: this.version, window: this.window };
      const answer = await send(`${this.address}/${what}`, message, { keepalive: what === 'typed' });
      if (answer.version) this.version = answer.version;
      return answer;
    } catch (error) {
      if (error instanceof Refused) {
        if (error.answer?.elsewhere) this.elsewhere(error.answer);
        else if (error.answer?.version) this.version = error.answer.version;
      }
      throw error;
    }
  }

  /** Keeps what stands in the line; of several that come quickly the last is sent. */
  typed(value, understood) {
    this.waiting = { value, understood };
    this.state('writing');
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), PAUSE);
  }

  flush() {
    clearTimeout(this.timer);
    const waiting = this.waiting;
    if (!waiting) return this.last;
    this.waiting = null;
    return this.send('typed', waiting.value).then(
      (answer) => {
        if (!this.waiting) this.state('kept');
        waiting.understood(answer);
      },
      (error) => {
        this.state('not kept', error.message);
        // Another window's draft is not written over; anything else is tried again.
        if (!(error instanceof Refused && error.answer?.elsewhere) && !this.waiting) {
          this.waiting = waiting;
          this.timer = setTimeout(() => this.flush(), AGAIN);
        }
      },
    );
  }

  /** Nothing typed is on its way any more: it became a line. */
  settle() {
    clearTimeout(this.timer);
    this.waiting = null;
  }
}
