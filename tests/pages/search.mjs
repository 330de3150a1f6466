// The search box of the index: reached with the keyboard, filters while one types, and says how many pieces are left.
// Knows nothing of the page but its search field, its live count and the accession numbers that it must show.
import { pathToFileURL } from 'node:url';

export async function searching(context, page, { say }) {
  const tab = await context.newPage();
  await tab.goto(pathToFileURL(page.file).href);
  const fault = (says) => say('search', says);
  if (await tab.locator('input[type=search]').count() !== 1) return fault('there is not exactly one `input type=search`');
  if (await tab.locator('output, [role=status], [aria-live]').count() < 1) return fault('no live count (`output`, role status or aria-live)');

  const all = await state(tab, page.search.numbers);
  if (all.seen.length !== page.search.numbers.length) fault(`shows ${all.seen.length} of ${page.search.numbers.length} pieces before anything is typed`);
  if (!await tabTo(tab)) return fault('the search field is not reached with the Tab key');

  await tab.keyboard.type(page.search.word);
  const some = await state(tab, page.search.numbers);
  expectSeen(some, page.search.finds, `after typing \`${page.search.word}\``, fault);
  if (some.count === all.count) fault(`the count stays \`${all.count}\` when the list is filtered`);

  await tab.keyboard.type(' zzqxv');
  const none = await state(tab, page.search.numbers);
  expectSeen(none, [], 'after typing a word that no piece has', fault);

  await tab.keyboard.press('Control+A');
  await tab.keyboard.press('Delete');
  const again = await state(tab, page.search.numbers);
  expectSeen(again, page.search.numbers, 'after the field is cleared', fault);

  await selects(tab, page.search.numbers, fault);
}

// Every list of choices: each choice leaves as many pieces as the count says, and of several choices one filters.
async function selects(tab, numbers, fault) {
  const lists = tab.locator('main select, header select, form select');
  for (let i = 0; i < await lists.count(); i += 1) {
    const list = lists.nth(i);
    const first = await list.inputValue();
    const values = await list.evaluate((s) => [...s.options].map((o) => o.value));
    let fewest = numbers.length;
    for (const value of values) {
      await list.selectOption(value);
      const now = await state(tab, numbers, 100);
      agree(now, `with \`${value}\` chosen`, fault);
      fewest = Math.min(fewest, now.seen.length);
    }
    const sorts = await list.evaluate((s) => /sort|order/i.test(`${s.name} ${s.id} ${s.labels[0]?.textContent}`));
    if (!sorts && values.length > 2 && fewest === numbers.length) fault(`no choice of list ${i + 1} filters anything`);
    await list.selectOption(first);
  }
}

function expectSeen(now, wanted, when, fault) {
  const list = (numbers) => [...numbers].sort().join(' ') || 'none';
  if (list(now.seen) !== list(wanted)) fault(`${when}: shows ${list(now.seen)}, not ${list(wanted)}`);
  agree(now, when, fault);
}

// `3 of 14 pieces`, `3 pieces`, `no piece`: the first figure is how many are left; no figure means none.
function agree(now, when, fault) {
  const said = Number(/\d+/.exec(now.count)?.[0] ?? 0);
  if (said !== now.seen.length) fault(`${when}: the count says \`${now.count}\`, but ${now.seen.length} pieces show`);
}

// Which accession numbers stand on the page now, each in an element of its own, and what the count says.
// A page may wait a moment for the typist to finish; for a choice it has nothing to wait for.
async function state(tab, numbers, moment = 400) {
  await tab.waitForTimeout(moment);
  const texts = await tab.evaluate(() => [...document.querySelectorAll('main *')].filter((e) => e.checkVisibility()).map((e) => e.textContent.trim()));
  const count = (await tab.locator('output, [role=status], [aria-live]').first().innerText()).trim();
  return { seen: numbers.filter((n) => texts.includes(n)), count };
}

async function tabTo(tab) {
  for (let i = 0; i < 30; i += 1) {
    await tab.keyboard.press('Tab');
    if (await tab.evaluate(() => document.activeElement?.matches('input[type=search]'))) return true;
  }
  return false;
}
