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
      words: words.map(([, left, top, right, bottom, text]) => (
        { left: Number(left), top: Number(top), right: Number(right), bottom: Number(bottom), text: plain(text) })),
    };
  });
}

const plain = (text) => text.replace(/&lt;/g, '<').replace(/&gt;/g, '>').replace(/&quot;/g, '"').replace(/&#39;|&apos;/g, "'").replace(/&amp;/g, '&');

// The letters by which page and paper are compared: style sheets may change case, and line ends may add hyphens.
export const letters = (text) => [...text.normalize('NFKC').toLowerCase().replace(/[\s\u00ad\u200b\ufeff\u2010-]/g, '')];
