// The page as the browser holds it: its visible words, and what each belongs to. `readPage` runs inside the page, and gives JSON:
// tens of thousands of words come out of the browser faster as one text.

export function readPage() {
  const all = (selector) => [...document.querySelectorAll(selector)];
  const tables = all('table');
  const rows = all('tbody tr, tfoot tr, table > tr');
  const figures = all('figure');
  const headings = all('h1, h2, h3, h4, h5, h6, caption');
  const placed = (list) => new Map(list.map((element, at) => [element, at]));
  const places = { row: placed(rows), table: placed(tables), figure: placed(figures), heading: placed(headings) };
  const index = (kind, element) => places[kind].get(element) ?? null;
  // Asked of every word and all that it stands in, so that what is known of an element is not worked out again.
  const kept = (ask) => {
    const known = new Map();
    return (e) => {
      if (!known.has(e)) known.set(e, ask(e));
      return known.get(e);
    };
  };
  const shown = kept((e) => e.checkVisibility({ visibilityProperty: true }) && e.getClientRects().length > 0);
  // Words for a screen reader alone are clipped to a point.
  const point = (e) => e.offsetWidth <= 1 && e.offsetHeight <= 1 && e !== document.body && getComputedStyle(e).overflow === 'hidden';
  const clipped = kept((e) => e !== null && (point(e) || clipped(e.parentElement)));
  const lifted = kept((e) => e !== document.body && (getComputedStyle(e).position !== 'static' || lifted(e.parentElement)));
  const words = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const at = node.parentElement;
    // Letters drawn over a picture are painted after the text around it.
    if (!node.data.trim() || at.closest('script, style, noscript, template, select, textarea, svg') || !shown(at) || clipped(at)) continue;
    const of = {
      row: index('row', at.closest('tr')),
      table: index('table', at.closest('table')),
      figure: index('figure', at.closest('figure')),
      heading: index('heading', at.closest('h1, h2, h3, h4, h5, h6, caption')),
      main: at.closest('main') !== null,
      lifted: lifted(at),
      control: at.closest('a, nav, form, button, label, output, [role=search], [role=status]') !== null,
    };
    for (const text of node.data.trim().split(/\s+/)) words.push({ text, ...of });
  }
  const heads = tables.map((t) => (t.tHead && shown(t.tHead) ? t.tHead.innerText : ''));
  const pictures = all('img').filter(shown).map((image) => index('figure', image.closest('figure')));
  return JSON.stringify({ words, heads, pictures, margins: margins() });

  // Margins of the sheet in points, from the `@page` rule that has no selector.
  function margins() {
    const unit = { mm: 72 / 25.4, cm: 720 / 25.4, in: 72, pt: 1, px: 0.75 };
    const points = (text) => {
      const found = /^([\d.]+)(mm|cm|in|pt|px)?$/.exec(text);
      return found ? Number(found[1]) * (unit[found[2]] ?? 1) : NaN;
    };
    const flat = (list) => [...list].flatMap((r) => (r instanceof CSSMediaRule && matchMedia(r.media.mediaText).matches ? flat(r.cssRules) : [r]));
    const rules = [...document.styleSheets].flatMap((sheet) => flat(sheet.cssRules));
    const found = rules.filter((r) => r instanceof CSSPageRule && !r.selectorText && r.style.marginTop);
    const style = found.at(-1)?.style;
    return style ? { top: points(style.marginTop), right: points(style.marginRight), bottom: points(style.marginBottom), left: points(style.marginLeft) } : null;
  }
}

// Words of the report (its `main`) that the screen shows and the print style hides. What one clicks on may go.
export function hiddenOnPaper(screen, paper) {
  const there = new Map();
  for (const { text } of paper.words) there.set(text, (there.get(text) ?? 0) + 1);
  const lost = [];
  for (const { text, main, control } of screen.words) {
    if (control) continue; // It may stand on paper or not, and must not be taken for the same word in the text.
    const left = there.get(text) ?? 0;
    if (left > 0) there.set(text, left - 1);
    else if (main) lost.push(text);
  }
  return lost.length > 0 ? [`${lost.length} words: ${lost.slice(0, 12).join(' ')}`] : [];
}
