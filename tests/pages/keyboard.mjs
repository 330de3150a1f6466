// A page as one goes through it without a mouse.

/**
 * Presses `key` until the control that `wanted` finds has the focus, as who uses no mouse must; tells `say` of each stop at
 * which the focus is not seen (WCAG 2.2, 2.4.7), and of a control that is never come to (2.1.1).
 */
export async function reach(tab, wanted, say, { key = 'Tab', most = 250 } = {}) {
  const name = String(wanted);
  for (let i = 0; i <= most; i += 1) {
    const there = await wanted.evaluateAll((all) => all.includes(document.activeElement));
    const look = () => tab.evaluate(() => {
      const on = document.activeElement;
      // What a frame holds shows its own focus; the body has none.
      if (!on || on === document.body || on.localName === 'iframe') return null;
      const { outlineStyle, outlineWidth } = getComputedStyle(on);
      const { width, height, bottom, top, right, left } = on.getBoundingClientRect();
      const seen = outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2 && width > 0 && height > 0
        && bottom > 0 && top < innerHeight && right > 0 && left < innerWidth;
      return seen ? null : on.outerHTML.slice(0, 120);
    });
    // What stands outside the window is scrolled in with the next frame.
    let hidden = await look();
    if (hidden) {
      await tab.waitForTimeout(150);
      hidden = await look();
    }
    if (hidden) say('axe', `the focus is not seen on ${hidden}`);
    if (there) return true;
    await tab.keyboard.press(key);
  }
  say('axe', `${key} never comes to ${name}`);
  return false;
}
