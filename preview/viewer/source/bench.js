// The workbench: what is there at each step of the building order, and what flies in.
const PAGE = 0;

/**
 * @param steps with sheets (worked on), present (hanging together afterwards) and on_page.
 * @returns shown, held (in the air, since it is not on the page yet), and moving: sets of sheets.
 */
export function bench(steps, number) {
  const standing = new Set([PAGE]);
  const groups = new Map();
  for (const { action, present, on_page } of steps.slice(0, number)) {
    if (on_page) for (const sheet of present) standing.add(sheet);
    else if (action !== "make") {
      const group = new Set(present);
      for (const sheet of present) groups.set(sheet, group);
    }
  }
  const { sheets, present, on_page } = steps[number];
  const here = new Set([...present, ...sheets]);
  const moving = new Set();
  for (const sheet of sheets) {
    for (const one of groups.get(sheet) ?? [sheet]) if (!standing.has(one)) moving.add(one);
  }
  // What a piece brings along, glued to it before.
  if (on_page) for (const sheet of here) if (!standing.has(sheet)) moving.add(sheet);
  return {
    shown: new Set([...standing, ...here]),
    held: on_page ? new Set() : new Set([...here].filter((sheet) => !standing.has(sheet))),
    moving,
  };
}
