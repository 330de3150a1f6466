// A PDF as poppler reads it: sheets, each with its size and its words in the order in which they were drawn.
import { execFileSync } from 'node:child_process';

export function readPdf(path) {
  const html = execFileSync('pdftotext', ['-raw', '-bbox', path, '-'], { encoding: 'utf8', maxBuffer: 1 << 28 });
  return html.split('<page ').slice(1).map((part) => {
    const [, width, height] = /width="([\d.]+)" height="([\d.]+)"/.exec(part);
    const words = [...part.matchAll(/<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)<\/word>/gs)];
    return {
      width: Number(width),
      height: Number(height),
      words: joined(words.map(([, left, top, right, bottom, text]) => (
        { left: Number(left), top: Number(top), right: Number(right), bottom: Number(bottom), text: plain(text) }))),
    };
  });
}

// Letters that are set apart come as a word each; a space between words is wider.
function joined(words) {
  const whole = [];
  for (const word of words) {
    const before = whole.at(-1);
    const gap = before ? word.left - before.right : NaN;
    const room = 0.16 * (word.bottom - word.top);
    if (Math.abs(gap) < room && Math.abs(before.bottom - word.bottom) < 0.1) {
      Object.assign(before, { text: before.text + word.text, right: word.right, top: Math.min(before.top, word.top) });
    } else whole.push(word);
  }
  return whole;
}

const plain = (text) => text.replace(/&lt;/g, '<').replace(/&gt;/g, '>').replace(/&quot;/g, '"').replace(/&#39;|&apos;/g, "'").replace(/&amp;/g, '&');

// A text in the pieces by which page and paper are compared: words, and each sign by itself, since either may part
// words otherwise than the other.
export const pieces = (text) => letters(text).join('').match(/[\p{L}\p{N}\p{M}]+|[^\p{L}\p{N}\p{M}]/gu) ?? [];

// The letters by which page and paper are compared: style sheets may change case, and line ends may add hyphens.
export const letters = (text) => [...text.normalize('NFKC').toLowerCase().replace(/[\s\u00ad\u200b\ufeff\u2010-]/g, '')];
