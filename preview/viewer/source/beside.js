// Where something small can lie over the picture and cover nothing that matters.

/** A little air on each side, pixels. */
const GAP = 10;
/** From the edges of the window, pixels. */
const EDGE = 8;
// What lies over the picture.
const LYING = "h1, header button, #opening, #hands, #panel, #drawer, #full, [data-lies]";

/**
 * Put a box that is shown where it covers none of what lies over the picture.
 * @param box an element with a fixed position.
 * @param near [x, y]: not far from there.
 * @param wishes lists of boxes that it had better not cover, the best first, and how far it may go
 * for that; the last one is taken however far it is.
 * @returns the index of the wish that was fulfilled; -1 if there is no place at all.
 */
export function layAside(box, near, ...wishes) {
  const size = [box.offsetWidth, box.offsetHeight];
  const others = [...document.querySelectorAll(LYING)].filter((one) => one !== box);
  const lying = others.map((one) => one.getBoundingClientRect()).filter(({ width }) => width);
  const within = { left: EDGE, top: EDGE, right: innerWidth - EDGE, bottom: innerHeight - EDGE };
  for (const [k, { boxes, far = Infinity }] of wishes.entries()) {
    const place = freePlace(size, [...lying, ...boxes], within, near);
    if (!place || place.apart > far) continue;
    Object.assign(box.style, { left: `${place.left}px`, top: `${place.top}px` });
    return k;
  }
  return -1;
}

/**
 * The place nearest to a point where a box meets none of others, pixels; null if there is none.
 * @param size [width, height] of the box.
 * @param taken boxes with left, top, right and bottom.
 * @param within the box that it must stay in, likewise.
 * @param near [x, y].
 * @returns { left, top, apart }: how far it is from that point, too
 */
export function freePlace([wide, tall], taken, within, [x, y]) {
  const most = { left: within.right - wide, top: within.bottom - tall };
  const lefts = [x - wide / 2, within.left, most.left, ...taken.flatMap(({ left, right }) => [left - GAP - wide, right + GAP])];
  const tops = [y - tall / 2, within.top, most.top, ...taken.flatMap(({ top, bottom }) => [top - GAP - tall, bottom + GAP])];
  let best = null;
  for (const left of lefts) {
    if (left < within.left || left > most.left) continue;
    for (const top of tops) {
      if (top < within.top || top > most.top) continue;
      const met = taken.some((box) => left < box.right && box.left < left + wide && top < box.bottom && box.top < top + tall);
      if (met) continue;
      const apart = Math.hypot(Math.max(left - x, 0, x - left - wide), Math.max(top - y, 0, y - top - tall));
      if (!best || apart < best.apart) best = { left, top, apart };
    }
  }
  return best;
}

/** The box round points, each [x, y]. */
export function around(points) {
  const [xs, ys] = [0, 1].map((k) => points.map((point) => point[k]));
  return { left: Math.min(...xs), top: Math.min(...ys), right: Math.max(...xs), bottom: Math.max(...ys) };
}
