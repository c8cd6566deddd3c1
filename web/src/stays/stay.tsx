import { useEffect, useMemo, useState } from "preact/hooks";
import { clock, day } from "../boat_time";
import { Above, type Moves } from "../drawing/above";
import { AlongTime } from "../drawing/along_time";
import { Side } from "../drawing/side";
import { me, onChanged } from "../live";
import { at as fieldAt } from "../parts/paths";
import { VerdictWord } from "../parts/verdict";
import { to } from "../route";
import type { Sheet } from "../sheet";
import { dragged, forecast, TIMES, within } from "../drawing/wind";
import { bearing, chance, crew, force, length, rode, speed, unitsAsked } from "../units";
import { words } from "../words";
import { Explain } from "./explain";
import { Reasons } from "./reasons";
import { Tables } from "./tables";
import { AS_FORECAST, changed, isKeepable, isNothing, NOTHING, Trial, withWind } from "./trial";

export function StayRoom({ id }: { id: string }) {
  const trial = useMemo(() => new Trial(id), [id]);
  const [asked, setAsked] = useState(false);
  useEffect(() => {
    const off = onChanged((it) => {
      if (it.what === "stay" && it.id === id && it.revision !== trial.stay.value?.revision) void trial.load();
    });
    return () => (off(), trial.stop());
  }, [trial]);
  // What the boat's computer says in words is asked for again when another unit is read.
  const { length: lengths, speed: speeds, force: forces } = crew.value;
  useEffect(() => trial.again(), [lengths, speeds, forces]);
  const shown = trial.tried.value;
  const acts = me.value?.role === "act";
  if (!shown) return <Failed trial={trial} id={id} />;
  const { sheet, pictures } = shown;
  return (
    <article class="stay" aria-labelledby="stay-name">
      <header class="stay-head">
        <p class="quiet">
          <a href={to("stays")}>{words.stays.title}</a> · {words.stays.span(`${day(sheet.from)} ${clock(sheet.from)}`, `${day(sheet.to)} ${clock(sheet.to)}`)}
        </p>
        <h1 id="stay-name">
          {sheet.stay} <span class="quiet">{sheet.boat}</span>
        </h1>
        <div aria-live="polite">
          {sheet.wind_tried ? <p class="tried-wind">{words.wind.notForecast(turnedText(sheet.wind_tried.turned_deg), timesText(sheet.wind_tried.times))}</p> : null}
          <VerdictWord verdict={sheet.verdict} />
          <p class="sentence">{afterWord(sheet)}</p>
        </div>
        <Heads sheet={sheet} />
      </header>
      {isNothing(trial.tries.value) ? null : <Pending trial={trial} acts={acts} />}
      {trial.problems.value.length === 0 ? null : (
        <ul class="problems" role="alert">
          {trial.problems.value.map((it) => (
            <li key={it.field + it.text}>{`${it.field} ${it.text}`}</li>
          ))}
        </ul>
      )}
      <section class="drawings" aria-label={words.stay.drawings}>
        <Above sheet={sheet} pictures={pictures} moment={trial.moment.value} moves={moves(trial, acts)} />
        <div>
          <Side
            sheet={sheet}
            pictures={pictures}
            moment={trial.moment.value}
            onRode={acts ? (metres) => trial.drag(changed(trial.tries.value, { field: "stay.veered", value: `${metres} m` })) : undefined}
          />
          {acts ? <RodeSlider trial={trial} sheet={sheet} /> : null}
          <WindSliders trial={trial} sheet={sheet} />
        </div>
        <div class="along-holder">
          <AlongTime sheet={sheet} at={trial.index.value} onMove={(index) => trial.move(index)} />
        </div>
        <AtCursor sheet={sheet} index={trial.index.value} />
      </section>
      <Reasons sheet={sheet} trial={trial} acts={acts} quick={shown.quick} />
      <Tables sheet={sheet} />
      <section class="ask">
        <button type="button" aria-expanded={asked} onClick={() => setAsked(!asked)}>
          {words.stay.explain}
        </button>
        {asked ? <Explain id={id} time={sheet.instants[trial.index.value]?.time ?? sheet.from} tried={!isNothing(trial.tries.value)} /> : null}
      </section>
      <Doings id={id} acts={acts} />
    </article>
  );
}

/** The sentence without the word that stands over it already. */
function afterWord({ sentence, verdict }: Sheet): string {
  const word = `${words.verdicts[verdict]}. `;
  return sentence.startsWith(word) && word.length < sentence.length ? sentence.slice(word.length) : sentence;
}

function Failed({ trial, id }: { trial: Trial; id: string }) {
  if (trial.trouble.value === null) return <p class="quiet">{words.asking}</p>;
  return (
    <section>
      <h1>{words.stay.cannot}</h1>
      <ul class="problems" role="alert">
        {trial.problems.value.length === 0 ? <li>{trial.trouble.value}</li> : null}
        {trial.problems.value.map((it) => (
          <li key={it.field + it.text}>{`${it.field} ${it.text}`}</li>
        ))}
      </ul>
      <a class="button" href={to("stays", id, "edit")}>
        {words.stay.edit}
      </a>
    </section>
  );
}

function Heads({ sheet }: { sheet: Sheet }) {
  const dragging = sheet.chance_of_dragging;
  return (
    <dl class="heads">
      <div>
        <dt>{words.stay.rode}</dt>
        <dd>
          <span class="figure">{rode(sheet.rode_m)}</span>
          <span class="quiet">{sheet.marks ? words.stay.toMark(sheet.marks) : ""}</span>
        </dd>
      </div>
      <div>
        <dt>{words.stay.chance}</dt>
        <dd>
          <span class="figure">{chance(dragging?.p90 ?? null)}</span>
          <span class="quiet">{dragging ? words.stay.band(chance(dragging.p90), chance(dragging.p10)) : ""}</span>
        </dd>
      </div>
      <div>
        <dt>{words.stay.weakest}</dt>
        <dd>
          <span class="figure words">{sheet.weakest?.name ?? words.unknown}</span>
          <span class="quiet">
            {sheet.weakest ? words.stay.bears(force(sheet.weakest.load_n), force(sheet.weakest.may_carry_n, "down"), sheet.weakest.origin) : ""}
          </span>
        </dd>
      </div>
    </dl>
  );
}

/** What is tried beside what is kept. */
function Pending({ trial, acts }: { trial: Trial; acts: boolean }) {
  const [was, is] = [trial.kept.value?.sheet, trial.tried.value?.sheet];
  if (!was || !is) return null;
  const least = (sheet: Sheet, pick: (it: Sheet["instants"][number]) => number | null) => {
    const all = sheet.instants.map(pick).filter((it): it is number => it !== null);
    return all.length === 0 ? null : Math.min(...all);
  };
  const rows: [string, string, string][] = [
    [words.stay.word, words.verdicts[was.verdict], words.verdicts[is.verdict]],
    [words.stay.rode, rode(was.rode_m), rode(is.rode_m)],
    [words.stay.chance, chance(was.chance_of_dragging?.p90 ?? null), chance(is.chance_of_dragging?.p90 ?? null)],
    [words.along.water, length(least(was, (it) => it.under_keel_m), "down"), length(least(is, (it) => it.under_keel_m), "down")],
    [words.along.room, length(least(was, (it) => it.least_room_m), "down"), length(least(is, (it) => it.least_room_m), "down")],
  ];
  return (
    <section class="pending" aria-live="polite" aria-label={words.stay.tried}>
      <table>
        <caption>{words.stay.tried}</caption>
        <thead>
          <tr>
            <td />
            <th scope="col">{words.stay.was}</th>
            <th scope="col">{words.stay.wouldBe}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([what, before, after]) => (
            <tr key={what} class={before === after ? "" : "differs"}>
              <th scope="row">{what}</th>
              <td>{before}</td>
              <td>{after}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {trial.trouble.value ? <p role="alert">{trial.trouble.value}</p> : null}
      {trial.tries.value.wind ? <p>{words.wind.notKept}</p> : null}
      <p class="doings">
        {acts ? (
          <button type="button" disabled={!isKeepable(trial.tries.value)} onClick={() => void trial.keep()}>
            {words.stay.keep}
          </button>
        ) : null}
        <button type="button" onClick={() => trial.try(NOTHING)}>
          {words.stay.putBack}
        </button>
      </p>
    </section>
  );
}

/** A neighbour's place in the stay's file, where he is told by range and bearing. */
function fileOf(trial: Trial, name: string): string | null {
  const all = trial.stay.value?.form ? fieldAt(trial.stay.value.form, "neighbour") : undefined;
  if (!Array.isArray(all)) return null;
  const index = all.findIndex((it: { name?: unknown; range?: unknown }) => it.name === name && it.range !== undefined);
  return index < 0 ? null : `neighbour[${index + 1}]`;
}

/** A finger that drags is followed; when it is lifted all is worked out. */
const act = (trial: Trial, done: boolean) => (done ? trial.try.bind(trial) : trial.drag.bind(trial));

function moves(trial: Trial, acts: boolean): Moves {
  const wind = trial.tries.value.wind ?? AS_FORECAST;
  const turn = (to: { turned_deg: number; times: number }, done: boolean) => act(trial, done)(withWind(trial.tries.value, to));
  return {
    acts,
    movable: (name) => fileOf(trial, name) !== null,
    dropped: trial.tries.value.drop_moved_m ?? [0, 0],
    onDrop: (offset, done) => act(trial, done)({ ...trial.tries.value, drop_moved_m: offset[0] === 0 && offset[1] === 0 ? null : offset }),
    wind: {
      ...wind,
      tried: trial.tries.value.wind !== null,
      onDrag: (to, size, done) => {
        const of = trial.tried.value && forecast(trial.tried.value.sheet, trial.moment.value);
        if (of) turn(dragged(to, size, of), done);
      },
      onStep: (turn_deg, more) => turn({ turned_deg: halfTurn(wind.turned_deg + turn_deg), times: within(wind.times + more) }, false),
      onBack: () => turn(AS_FORECAST, true),
    },
    onNeighbour: (name, [east, north], done) => {
      const him = fileOf(trial, name);
      if (him === null) return;
      const degrees = ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
      act(trial, done)(
        changed(
          trial.tries.value,
          { field: `${him}.range`, value: `${Math.round(Math.hypot(east, north))} m` },
          { field: `${him}.bearing`, value: Math.round(degrees) % 360 },
        ),
      );
    },
  };
}

function RodeSlider({ trial, sheet }: { trial: Trial; sheet: Sheet }) {
  if (!sheet.veer) return null;
  // What the finger asks for, until the boat's computer has answered.
  const asked = trial.tries.value.changes.find((it) => it.field === "stay.veered")?.value;
  const out = typeof asked === "string" ? Number.parseFloat(asked) : sheet.veer.length_m;
  const told = trial.stay.value?.form ? fieldAt(trial.stay.value.form, "stay.veered") : null;
  return (
    <div>
      <label class="slider">
        <span>{words.stay.slideRode(rode(out), rode(sheet.veer.aboard_m))}</span>
        <input
        type="range"
        min={Math.ceil(sheet.veer.greatest_height_m + 1)}
        max={Math.floor(sheet.veer.aboard_m)}
        step={1}
        value={out}
        aria-valuetext={rode(out)}
        onInput={(event) => trial.drag(changed(trial.tries.value, { field: "stay.veered", value: `${event.currentTarget.value} m` }))}
        />
      </label>
      {told === undefined || told === null ? null : (
        <button type="button" class="plain back" onClick={() => trial.try(changed(trial.tries.value, { field: "stay.veered", value: null }))}>
          {words.stay.workOut}
        </button>
      )}
    </div>
  );
}

const halfTurn = (deg: number): number => ((((deg + 180) % 360) + 360) % 360) - 180;
const turnedText = (deg: number): string => words.wind.turned(Math.abs(Math.round(deg)), deg < 0);
const timesText = (times: number): string => words.wind.times(times.toFixed(2).replace(/0$/, ""));

/** The wind tried: what the arrow in the drawing from above does, by two sliders; one tap goes back. */
function WindSliders({ trial, sheet }: { trial: Trial; sheet: Sheet }) {
  if (sheet.instants.every((it) => it.wind_mean_ms === null)) return null;
  const wind = trial.tries.value.wind ?? AS_FORECAST;
  const turn = (to: Partial<typeof wind>) => trial.drag(withWind(trial.tries.value, { ...wind, ...to }));
  return (
    <fieldset class="wind-tried">
      <legend>{words.wind.title}</legend>
      <label class="slider">
        <span>{turnedText(wind.turned_deg)}</span>
        <input
          type="range"
          min={-180}
          max={180}
          step={5}
          value={wind.turned_deg}
          aria-label={words.wind.turn}
          aria-valuetext={turnedText(wind.turned_deg)}
          onInput={(event) => turn({ turned_deg: Number(event.currentTarget.value) })}
        />
      </label>
      <label class="slider">
        <span>{timesText(wind.times)}</span>
        <input
          type="range"
          min={TIMES.least}
          max={TIMES.most}
          step={0.05}
          value={wind.times}
          aria-label={words.wind.strengthen}
          aria-valuetext={timesText(wind.times)}
          onInput={(event) => turn({ times: within(Number(event.currentTarget.value)) })}
        />
      </label>
      {trial.tries.value.wind === null ? null : (
        <button type="button" class="back" onClick={() => trial.try(withWind(trial.tries.value, AS_FORECAST))}>
          {words.wind.back}
        </button>
      )}
    </fieldset>
  );
}

/** Every figure of the drawings once more, as words. */
function AtCursor({ sheet, index }: { sheet: Sheet; index: number }) {
  const here = sheet.instants[index];
  if (!here) return null;
  const figures: [string, string][] = [
    [words.along.water, length(here.under_keel_m, "down")],
    [words.cursor.water, length(here.water_m, "down")],
    [words.cursor.wind, `${speed(here.wind_mean_ms)} ${words.cursor.from(bearing(here.wind_from_deg))}`],
    [words.along.gust, speed(here.wind_gust_ms)],
    [words.cursor.stream, here.stream_ms === 0 ? words.cursor.noStream : `${speed(here.stream_ms)} ${words.cursor.towards(bearing(here.stream_towards_deg))}`],
    [words.cursor.lies, here.lies ? words.lies[here.lies] : words.unknown],
    [words.cursor.heading, here.heading_deg === null ? words.cursor.anyHeading : `${bearing(here.heading_deg)} ± ${Math.round(here.heading_spread_deg ?? 180)}°`],
    [words.cursor.reach, length(here.reach_m)],
    [words.cursor.gustPull, here.load_p90_n ? `${force(here.load_p90_n.gust)}` : words.unknown],
    [words.cursor.peakPull, here.load_p90_n ? `${force(here.load_p90_n.peak)}` : words.unknown],
    [words.cursor.grounded, length(here.grounded_m, "down")],
    [words.along.room, here.least_room_to ? `${length(here.least_room_m, "down")} ${words.cursor.to(here.least_room_to)}` : length(here.least_room_m, "down")],
  ];
  return (
    <div class="at-cursor">
      <h2>{`${day(here.time)} ${clock(here.time)}${here.dark ? `, ${words.along.dark}` : ""}`}</h2>
      <dl class="figures">
        {figures.map(([what, value]) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </div>
  );
}

function Doings({ id, acts }: { id: string; acts: boolean }) {
  const base = `/api/v1/stays/${encodeURIComponent(id)}`;
  return (
    <p class="doings">
      {acts ? (
        <>
          <a class="button" href={to("stays", id, "edit")}>
            {words.stay.edit}
          </a>
          <a class="button" href={to("watch", "take", id)}>
            {words.stay.takeWatch}
          </a>
        </>
      ) : null}
      <a class="button" href={`${base}/sheet.html?${unitsAsked()}`} target="_blank" rel="noopener">
        {words.stay.print}
      </a>
      <a class="button" href={`${base}/sheet.pdf?${unitsAsked()}`} target="_blank" rel="noopener">
        PDF
      </a>
      <a class="button" href={`${base}/file.toml`} download>
        {words.stay.exportFile}
      </a>
    </p>
  );
}

