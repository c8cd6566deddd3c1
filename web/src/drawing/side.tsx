// From the side: the ground, the water now and at its highest and lowest, the rode as it hangs in the gust of this
// moment, with its marks. Lengths are to scale; heights may be drawn larger, and then it is said how much.
import { useRef } from "preact/hooks";
import type { Moment, Pictures, Sheet } from "../sheet";
import { force, length, rode as rodeText } from "../units";
import { words } from "../words";
import { Grip } from "./grip";
import { apart, SMALL_PX, wide } from "./labels";
import { Letters } from "./letters";
import { closed, path, scale } from "./scale";
import { useWidth } from "./size";

const HEIGHT = 264;
const TOP = 34;
const FOOT = 60;
const EDGE = 14;
/** Heights are not stretched further than this, or the rode no longer looks like one. */
const STRETCH_AT_MOST = 5;

export function Side(props: {
  sheet: Sheet;
  pictures: Pictures;
  moment: Moment | null;
  onRode?: ((length_m: number) => void) | undefined;
}) {
  const { sheet, pictures, moment, onRode } = props;
  const { ref, width } = useWidth(360);
  const svg = useRef<SVGSVGElement>(null);
  const points = moment?.rode?.points ?? [];
  const lead = points.at(-1);
  if (!moment || !moment.rode || !lead || moment.water_m === null) {
    return (
      <div ref={ref} class="drawing side">
        <p class="cannot-say-words">{words.side.cannotSay}</p>
      </div>
    );
  }
  const { length_m: hull, draught_m: draught } = pictures.hull;
  const tallest = Math.max(lead[1], moment.highest_m ?? 0) + 0.25 * lead[1];
  const deepest = Math.min(0, Math.tan((moment.ground_slope_deg * Math.PI) / 180) * (lead[0] + hull)) - 0.06 * tallest;
  const x = scale(-0.03 * lead[0], lead[0] + hull * 1.06, EDGE, width - EDGE);
  const perMetre = (x(1) - x(0)) * 1;
  const stretch = Math.min(STRETCH_AT_MOST, Math.max(1, (HEIGHT - TOP - FOOT) / ((tallest - deepest) * perMetre)));
  const y = scale(deepest, deepest + (HEIGHT - TOP - FOOT) / (perMetre * stretch), HEIGHT - FOOT, TOP);
  const at = ([along, up]: [number, number]): [number, number] => [x(along), y(up)];
  const slope = Math.tan((moment.ground_slope_deg * Math.PI) / 180);
  const [left, right] = [x.from, x.to];
  const ground: [number, number][] = [at([left, slope * left]), at([right, slope * right])];
  const levels = [
    { up: moment.highest_m, kind: "highest", says: words.side.highest(length(moment.highest_m)), over: true, beside: false },
    { up: moment.water_m, kind: "now", says: words.side.now(length(moment.water_m, "down")), over: true, beside: true },
    { up: moment.lowest_m, kind: "lowest", says: words.side.lowest(length(moment.lowest_m, "down")), over: false, beside: false },
  ].flatMap(({ up, ...it }) => (up === null ? [] : [{ ...it, y: y(up) }]));
  // Highest and lowest at the edge, the water of now beside them: each by its own line.
  const edge = levels.filter((it) => !it.beside);
  const bases = apart(edge.map((it) => it.y + (it.over ? -4 : 12)), SMALL_PX + 3, SMALL_PX, HEIGHT - FOOT - 2);
  const beside = 14 + Math.max(0, ...edge.map((it) => wide(it.says, SMALL_PX)));
  const out = sheet.veer?.length_m ?? null;

  const says = lines(
    [
      words.side.pull(force(moment.rode.load_n), moment.rode.uplift_deg.toFixed(0)),
      words.side.grounded(length(moment.rode.grounded_m, "down")),
      stretch < 1.05 ? words.side.toScale : words.side.stretched(stretch.toFixed(1)),
    ],
    width - 2 * EDGE,
  );
  const drag = (clientX: number) => {
    const box = svg.current?.getBoundingClientRect();
    if (!box || !onRode || out === null) return;
    const along = left + ((clientX - box.left - EDGE) / (width - 2 * EDGE)) * (right - left);
    onRode(Math.max(1, Math.round(out + along - lead[0])));
  };
  return (
    <div ref={ref} class="drawing side">
      <svg ref={svg} width={width} height={HEIGHT} role={onRode ? "group" : "img"} aria-label={spoken(sheet, moment)}>
        <rect class="water" x={x(left)} width={x(right) - x(left)} y={y(moment.water_m)} height={Math.max(0, y(deepest) - y(moment.water_m))} />
        <path class="ground" d={closed([...ground, [x(right), HEIGHT - FOOT + 6], [x(left), HEIGHT - FOOT + 6]])} />
        <path class="ground-line" d={path(ground)} />
        {levels.map((it) => (
          <line key={it.kind} class={`level ${it.kind}`} x1={x(left)} x2={x(right)} y1={it.y} y2={it.y} />
        ))}
        <path class="hull" d={closed(silhouette(lead, hull, moment.water_m, draught).map(at))} />
        <path class="rode" d={path(points.map(at))} />
        {moment.rode.snubber_from ? <path class="snubber" d={path(points.filter(([along]) => (moment.rode?.snubber_from?.[0] ?? 0) <= along).map(at))} /> : null}
        {moment.rode.marks.map((mark) => (
          <circle key={mark.at_m} class="mark" cx={x(mark.x_m)} cy={y(mark.z_m)} r={3}>
            <title>{`${rodeText(mark.at_m)}: ${mark.looks}`}</title>
          </circle>
        ))}
        <path class="anchor" d={`M${x(0) - 10} ${y(0) + 5}q6 5 10 -5q4 -3 12 -3`} />
        {levels.map((it) => (
          <Letters key={it.kind} x={x(left) + (it.beside ? beside : 2)} y={it.beside ? it.y - 4 : (bases[edge.indexOf(it)] ?? it.y)} small halo>
            {it.says}
          </Letters>
        ))}
        {onRode && out !== null ? (
          <Grip
            label={words.side.rodeGrip}
            says={rodeText(out)}
            now={out}
            least={1}
            most={Math.floor(sheet.veer?.aboard_m ?? out)}
            x={x(lead[0])}
            y={y(lead[1])}
            onDrag={drag}
            onStep={(more, up, fine) => onRode(Math.max(1, Math.round(out + (more + up) * (fine ? 1 : 5))))}
            onBack={() => undefined}
          >
            <circle class="knob" cx={x(lead[0])} cy={y(lead[1])} r={7} />
          </Grip>
        ) : null}
        {says.map((it, index) => (
          <Letters key={it} x={EDGE} y={HEIGHT - FOOT + 20 + index * (SMALL_PX + 3)} small>
            {it}
          </Letters>
        ))}
      </svg>
    </div>
  );
}

function spoken(sheet: Sheet, moment: Moment): string {
  const rode = moment.rode;
  return rode === null
    ? words.side.cannotSay
    : words.side.spoken(
        rodeText(sheet.veer?.length_m ?? null),
        length(moment.water_m, "down"),
        force(rode.load_n),
        length(rode.grounded_m, "down"),
      );
}

/** Sentences put beside each other as far as a line of paper holds them. */
function lines(sentences: readonly string[], room: number): string[] {
  const all: string[] = [];
  for (const sentence of sentences) {
    const before = all.at(-1);
    const joined = before === undefined ? sentence : `${before}; ${sentence}`;
    if (before !== undefined && wide(joined, SMALL_PX) <= room) all[all.length - 1] = joined;
    else all.push(sentence);
  }
  return all;
}

/** A hull as she is seen from abeam, bow at the lead of her rode. */
function silhouette(lead: [number, number], hull: number, water: number, draught: number): [number, number][] {
  const [bow, deck] = lead;
  const free = Math.max(0.3, deck - water);
  return [
    [bow, deck],
    [bow + 0.35 * hull, deck - 0.16 * free],
    [bow + 0.7 * hull, deck - 0.2 * free],
    [bow + hull, deck - 0.12 * free],
    [bow + 0.98 * hull, water + 0.1 * free],
    [bow + 0.9 * hull, water - 0.12 * draught],
    [bow + 0.62 * hull, water - 0.3 * draught],
    [bow + 0.59 * hull, water - draught],
    [bow + 0.43 * hull, water - draught],
    [bow + 0.38 * hull, water - 0.28 * draught],
    [bow + 0.16 * hull, water - 0.12 * draught],
    [bow + 0.07 * hull, water + 0.05 * free],
  ];
}
