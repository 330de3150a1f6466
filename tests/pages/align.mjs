// The shortest edit between two runs of letters (E. W. Myers, "An O(ND) Difference Algorithm and Its Variations",
// Algorithmica 1, 1986; from memory): for each letter of `a` the place of its like in `b`, or -1.

const MOST = 6000; // edits; beyond it the two are not the same text

export function align(a, b) {
  const reach = Math.min(a.length + b.length, MOST);
  const offset = reach + 1;
  const furthest = new Int32Array(2 * reach + 3);
  const trace = [];
  for (let edits = 0; edits <= reach; edits += 1) {
    trace.push(furthest.slice(offset - edits - 1, offset + edits + 2));
    for (let k = -edits; k <= edits; k += 2) {
      const down = k === -edits || (k !== edits && furthest[offset + k - 1] < furthest[offset + k + 1]);
      let x = down ? furthest[offset + k + 1] : furthest[offset + k - 1] + 1;
      while (x < a.length && x - k < b.length && a[x] === b[x - k]) x += 1;
      furthest[offset + k] = x;
      if (x >= a.length && x - k >= b.length) return back(a, b, trace);
    }
  }
  return null;
}

function back(a, b, trace) {
  const pairs = new Int32Array(a.length).fill(-1);
  let [x, y] = [a.length, b.length];
  for (let edits = trace.length - 1; edits >= 0; edits -= 1) {
    const at = (k) => trace[edits][k + edits + 1];
    const k = x - y;
    const down = k === -edits || (k !== edits && at(k - 1) < at(k + 1));
    const before = down ? k + 1 : k - 1;
    const from = edits === 0 ? 0 : at(before);
    const begin = edits === 0 ? 0 : down ? from : from + 1;
    while (x > begin && y > 0) {
      x -= 1;
      y -= 1;
      pairs[x] = y;
    }
    [x, y] = [from, from - before];
  }
  return pairs;
}
