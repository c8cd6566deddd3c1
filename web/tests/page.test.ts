// The page's own arithmetic, without a browser: `npm test`.
import assert from "node:assert/strict";
import { test } from "node:test";
import { at, withValue } from "../src/parts/paths";
import { settled } from "../src/parts/fields";
import { latest } from "../src/parts/latest";
import { path, roundBelow, ticks } from "../src/drawing/scale";
import { boxOf, Labels, overlaps } from "../src/drawing/labels";
import { named, type Named } from "../src/drawing/names";
import { arrow, dragged } from "../src/drawing/wind";
import { chance, choose, crew, example, force, length, retold, rounded, speed, takeVessels, unitOf } from "../src/units";
import { bearingOf, far, offset, placeAt } from "../src/watch/field";
import { isOld } from "../src/watch/old";

test("figures are rounded to the side that flatters nobody", () => {
  assert.equal(rounded(1.69, 1, "down"), "1.6");
  assert.equal(rounded(1.61, 1, "up"), "1.7");
  assert.equal(rounded(0.3, 1, "down"), "0.3", "an exact figure does not lose a digit to its last bit");
  assert.equal(rounded(-0.04, 1, "near"), "0.0");
  assert.equal(length(0.799, "down"), "0.7 m");
  assert.equal(speed(10.01 * (1852 / 3600)), "11 kn");
  assert.equal(force(2951), "296 daN");
});

test("the crew's units are the trade's", () => {
  // 1 ft = 0.3048 m and 1 lbf = 4.4482216152605 N exactly (international yard and pound agreement of 1959).
  takeVessels({ length: "feet", speed: "metres per second", force: "pounds" });
  assert.equal(length(30.48), "100 ft");
  assert.equal(force(4.4482216152605), "1 lbf");
  assert.equal(speed(5), "5 m/s");
  takeVessels({ length: "fathoms", speed: "knots", force: "kilonewtons" });
  assert.equal(length(1.8288), "1.0 fm");
  takeVessels(null);
});

test("a device reads its own units, and the vessel's where none was chosen", () => {
  takeVessels({ length: "feet", force: "stones" });
  assert.deepEqual(crew.value, { length: "feet", speed: "knots", force: "decanewtons" }, "what is no unit is not told");
  choose("length", "metres");
  choose("force", "pounds");
  assert.deepEqual(crew.value, { length: "metres", speed: "knots", force: "pounds" });
  choose("length", null);
  assert.equal(crew.value.length, "feet");
  // 5.2 m is 17.06 ft; a hint is two figures. 40 kN is 8 992 lbf. What is told in no unit of the crew's stays.
  assert.equal(example("5.2 m"), "17 ft");
  assert.equal(example("40 kN"), "9000 lbf");
  assert.equal(example("12 kn"), "12 kn");
  assert.equal(example("14 mm"), "14 mm");
  assert.equal(unitOf("5.2 m"), "ft");
  assert.equal(retold("length taken as 15 m; drag area 7.5 m² in 5 m/s"), "length taken as 49 ft; drag area 7.5 m² in 5 m/s");
  assert.equal(unitOf("310"), null);
  choose("force", null);
  const sections = [{ title: "", table: "depth", fields: [{ key: "charted", label: "", hint: "5.2 m" }, { key: "uphill", label: "", hint: "345" }] }];
  assert.deepEqual(settled(sections, { depth: { charted: "17", uphill: "345" } }), { depth: { charted: "17 ft", uphill: 345 } });
  assert.deepEqual(settled(sections, { depth: { charted: "5 m" } }), { depth: { charted: "5 m" } });
  takeVessels(null);
});

test("an arrow of the wind that is dragged to where its point is says what it shows", () => {
  const wind = { from_deg: 310, mean_ms: 6 };
  const { to } = arrow(wind, 400);
  assert.deepEqual(dragged([to[0] - 200, to[1] - 200], 400, wind), { turned_deg: 0, times: 1 });
  const stronger = arrow({ from_deg: 350, mean_ms: 9 }, 400).to;
  assert.deepEqual(dragged([stronger[0] - 200, stronger[1] - 200], 400, wind), { turned_deg: 40, times: 1.5 });
});

/** Forty boats in a bay, each in the next one's circle, by a sequence that fills a square evenly. */
const crowd = (many: number, side: number): Named[] =>
  Array.from({ length: many }, (_, k) => {
    const [x, y] = [((k + 1) * 0.7548776662466927 % 1) * side, ((k + 1) * 0.5698402909980532 % 1) * side];
    return { name: `a boat of the crowd ${k + 1}`, outline: [[x, y]], radius: 5, circle: { x, y: y - 12, r: 18 + (k % 5) * 4 } };
  });

test("however many lie about her, no name covers another, a hull, or the line of a circle", () => {
  for (const many of [1, 5, 12, 40]) {
    for (const side of [320, 560]) {
      const paper = { left: 3, top: 3, right: side - 3, bottom: side - 3 };
      const things = crowd(many, side);
      const names = named(things, paper, new Labels(paper));
      const boxes = [...names.placed, ...names.key.map((it) => it.placed)].flatMap((it) => (it ? [it.box] : []));
      assert.equal(names.placed.length + names.key.length + names.beyond.length, many, "nobody is left unnamed");
      boxes.forEach((box, index) => {
        assert.ok(boxes.slice(index + 1).every((other) => !overlaps(box, other)), `${many} in ${side}`);
        assert.ok(paper.left <= box.left && box.right <= paper.right && paper.top <= box.top && box.bottom <= paper.bottom);
        for (const { outline, radius, circle } of things) {
          const [hull] = outline;
          if (hull) assert.ok(radius <= nearest(box, hull), "on a hull");
          if (circle) assert.ok(circle.r <= nearest(box, [circle.x, circle.y]) || farthest(box, [circle.x, circle.y]) <= circle.r, "on a circle");
        }
      });
      assert.deepEqual(named(things, paper, new Labels(paper)), names, "the same each time");
    }
  }
});

type Box = ReturnType<typeof boxOf>;
const nearest = (box: Box, [x, y]: [number, number]) => Math.hypot(Math.max(box.left - x, 0, x - box.right), Math.max(box.top - y, 0, y - box.bottom));
const farthest = (box: Box, [x, y]: [number, number]) => Math.hypot(Math.max(x - box.left, box.right - x), Math.max(y - box.top, box.bottom - y));

test("a chance is never told better than it is", () => {
  assert.equal(chance(0.012745), "1 in 78");
  assert.equal(chance(0.00000696), "1 in 140 000");
  assert.equal(chance(0.93), "93 in 100");
  assert.equal(chance(null), "unknown");
});

test("a form is changed at one place, and nothing empty is left behind", () => {
  const form = { rode: [{ name: "chain", stretch: [{ length: "50 m" }] }] };
  assert.equal(at(form, "rode[1].stretch[1].length"), "50 m");
  assert.equal(at(form, "rode[2].name"), undefined);
  const more = withValue(form, "rode[1].stretch[2].length", "20 m");
  assert.deepEqual(more, { rode: [{ name: "chain", stretch: [{ length: "50 m" }, { length: "20 m" }] }] });
  assert.deepEqual(form.rode[0]?.stretch.length, 1, "the one that was given stays as it was");
  assert.deepEqual(withValue({ set: { at: "x" } }, "set.at", undefined), {});
  assert.deepEqual(withValue({ danger: [{ name: "a" }] }, "danger[1].name", undefined), { danger: [{}] });
  assert.deepEqual(withValue({ danger: [{ name: "a" }] }, "danger[1]", undefined), {});
});

test("scales have round figures", () => {
  assert.deepEqual(ticks(0, 10, 5), [0, 2, 4, 6, 8, 10]);
  assert.equal(roundBelow(73), 50);
  assert.equal(roundBelow(0.09), 0.05);
  assert.equal(path([[0, 0], null, [1, 1], [2, 2]]), "M0.0 0.0M1.0 1.0L2.0 2.0");
});

test("places about the anchor are metres", () => {
  // A minute of latitude on WGS 84 is 1842.9 m at the equator and 1861.6 m at the poles (textbook figures).
  assert.ok(Math.abs(far(offset({ lat: 0, lon: 0 }, { lat: 1 / 60, lon: 0 })) - 1842.9) < 0.1);
  assert.ok(Math.abs(far(offset({ lat: 89.99, lon: 0 }, { lat: 89.99 + 1 / 60 / 10, lon: 0 })) - 186.16) < 0.02);
  assert.ok(Math.abs(bearingOf(offset({ lat: 34, lon: 179.9999 }, { lat: 34, lon: -179.9999 })) - 90) < 1e-6, "over the 180th meridian");
});

test("of questions that overtake each other the last one is answered", async () => {
  const asked: number[] = [];
  const taken: number[] = [];
  const asker = latest<number, number>(
    async (what) => (asked.push(what), await new Promise((done) => setTimeout(() => done(what), 5))),
    (answer) => taken.push(answer),
    (error) => assert.fail(String(error)),
  );
  for (const what of [1, 2, 3, 4]) asker.ask(what);
  for (let waited = 0; taken.length < 2 && waited < 2000; waited += 10) await new Promise((done) => setTimeout(done, 10));
  assert.deepEqual(asked, [1, 4]);
  assert.deepEqual(taken, [1, 4]);
});

test("what was typed is tidied when it is kept, and not under the finger", () => {
  const sections = [
    { title: "Ground", table: "ground", fields: [{ key: "nature", label: "", kind: "list" as const }, { key: "name", label: "", kind: "text" as const }] },
    { title: "Wind", table: "wind.table", many: "line", fields: [{ key: "from", label: "" }, { key: "mean", label: "" }] },
  ];
  const typed = { ground: { nature: "sand, mud,", name: "12" }, wind: { table: [{ from: " 310 ", mean: "9 kn" }, { from: "1.05" }] } };
  assert.deepEqual(settled(sections, typed), {
    ground: { nature: ["sand", "mud"], name: "12" },
    wind: { table: [{ from: 310, mean: "9 kn" }, { from: 1.05 }] },
  });
});

test("a place set by hand is where it was touched", () => {
  for (const from of [{ lat: 33.97, lon: -120.966 }, { lat: -46, lon: 179.9999 }]) {
    const [lat, lon] = placeAt(from, [42, -17]);
    const [east, north] = offset(from, { lat, lon });
    // The plane is true to a centimetre over these distances.
    assert.ok(Math.abs(east - 42) < 0.01 && Math.abs(north + 17) < 0.01, `${east} ${north}`);
  }
});

test("what was measured a minute ago, or at no time, is not shown as now", () => {
  assert.equal(isOld("2026-08-15T01:00:00Z", "2026-08-15T01:00:59Z"), false);
  assert.equal(isOld("2026-08-15T01:00:00Z", "2026-08-15T01:01:00Z"), true);
  assert.equal(isOld("soon", "2026-08-15T01:01:00Z"), true);
});
