import { useEffect, useState } from "preact/hooks";
import { get, send } from "../api";
import { dimmer, light, LIGHTS } from "../light";
import { feeds, me, onChanged } from "../live";
import { Document, type Kind } from "../parts/document";
import { to } from "../route";
import { TakeOut } from "../stays/edit";
import { words } from "../words";
import { VESSEL } from "./fields";
import { Units } from "./units";

const KIND: Kind = { path: "vessels", which: "vessel", sections: VESSEL, blank: {} };

export function Aboard() {
  return (
    <div class="aboard">
      <h1>{words.aboard.title}</h1>
      <Vessels />
      <Lights />
      <Units />
      <Feeds />
      {me.value?.role === "act" ? <Devices /> : null}
      <section aria-labelledby="cautions">
        <h2 id="cautions">{words.cautionsTitle}</h2>
        <ul class="lines">
          {words.cautions.map((it) => (
            <li key={it}>{it}</li>
          ))}
        </ul>
      </section>
    </div>
  );
}

export function EditVessel({ id }: { id: string | null }) {
  return (
    <section aria-labelledby="vessel">
      <p class="quiet">
        <a href={to("aboard")}>{words.document.back}</a>
      </p>
      <h1 id="vessel">{id === null ? words.document.writeVessel : words.aboard.changeVessel}</h1>
      <Document kind={KIND} id={id} onKept={() => (location.hash = to("aboard"))} />
      {id === null ? null : (
        <p class="doings">
          <a class="button" href={`/api/v1/vessels/${encodeURIComponent(id)}/file.toml`} download>
            {words.stay.exportFile}
          </a>
        </p>
      )}
      {id === null ? null : <TakeOut path={`/vessels/${encodeURIComponent(id)}`} after={to("aboard")} />}
    </section>
  );
}

function Vessels() {
  const [vessels, setVessels] = useState<{ id: string; name: string }[] | null>(null);
  useEffect(() => {
    const load = () => get<{ vessels: { id: string; name: string }[] }>("/vessels").then((it) => setVessels(it.vessels), () => undefined);
    void load();
    return onChanged((changed) => {
      if (changed.what === "vessel") void load();
    });
  }, []);
  return (
    <section aria-labelledby="vessels">
      <h2 id="vessels">{words.aboard.vessels}</h2>
      <ul class="lines">
        {vessels?.map((it) => (
          <li key={it.id}>
            <a href={to("aboard", "vessel", it.id)}>{it.name}</a>
          </li>
        ))}
      </ul>
      {me.value?.role === "act" ? (
        <p class="doings">
          <a class="button" href={to("aboard", "vessel", "new")}>
            {words.document.writeVessel}
          </a>
        </p>
      ) : null}
    </section>
  );
}

function Lights() {
  return (
    <section aria-labelledby="lights">
      <h2 id="lights">{words.light}</h2>
      <p class="doings" role="group" aria-labelledby="lights">
        {LIGHTS.map((it) => (
          <button type="button" key={it} aria-pressed={light.value === it} onClick={() => (light.value = it)}>
            {words.lights[it]}
          </button>
        ))}
      </p>
      <label class="slider">
        <span>{words.aboard.dimmer}</span>
        <input type="range" min={0.25} max={1} step={0.05} value={dimmer.value} onInput={(event) => (dimmer.value = Number(event.currentTarget.value))} />
      </label>
      <p class="quiet">{words.aboard.nightHelp}</p>
    </section>
  );
}

function Feeds() {
  const all = feeds.value;
  return (
    <section aria-labelledby="feeds">
      <h2 id="feeds">{words.aboard.feeds}</h2>
      {all.length === 0 ? <p>{words.aboard.noFeeds}</p> : null}
      <ul class="lines">
        {all.map((it) => (
          <li key={it.feed}>
            <strong>{it.feed}</strong> {words.feedStates[it.state] ?? it.state}
            {it.why ? `: ${it.why}` : ""}{" "}
            <span class="quiet">
              {it.age_s === null ? words.aboard.neverHeard : words.aboard.heardAgo(Math.round(it.age_s))}
              {`, ${words.aboard.rate(it.lines_per_s.toFixed(1))}`}
              {refusals(it.refused)}
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}

function refusals(refused: Record<string, number>): string {
  const all = Object.entries(refused).filter(([, count]) => 0 < count);
  return all.length === 0 ? "" : `, ${words.aboard.refused(all.map(([cause, count]) => `${count} ${cause.replaceAll("_", " ")}`).join(", "))}`;
}

interface Device {
  id: string;
  name: string;
  role: string;
  this: boolean;
}
interface Code {
  code: string;
  url: string;
  qr_svg: string | null;
  valid_s: number;
}

function Devices() {
  const [devices, setDevices] = useState<Device[]>([]);
  const [code, setCode] = useState<Code | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  useEffect(() => {
    const load = () => get<{ devices: Device[] }>("/devices").then((it) => setDevices(it.devices), () => undefined);
    void load();
    return onChanged((changed) => {
      if (changed.what === "devices") void load();
    });
  }, []);
  const ask = (role: "look" | "act") =>
    send<Code>("POST", "/devices/codes", { role }).then(setCode, (error: Error) => setTrouble(error.message));
  return (
    <section aria-labelledby="devices">
      <h2 id="devices">{words.aboard.devices}</h2>
      <ul class="lines">
        {devices.map((it) => (
          <li key={it.id} class="doings">
            <span>
              <strong>{it.name}</strong> {words.roles[it.role] ?? it.role}
              {it.this ? ` (${words.aboard.thisDevice})` : ""}
            </span>
            <button type="button" class="plain" onClick={() => void send("DELETE", `/devices/${encodeURIComponent(it.id)}`)}>
              {words.aboard.strikeOff(it.name)}
            </button>
          </li>
        ))}
      </ul>
      <p class="doings">
        <button type="button" onClick={() => void ask("look")}>
          {words.aboard.pairLook}
        </button>
        <button type="button" onClick={() => void ask("act")}>
          {words.aboard.pairAct}
        </button>
      </p>
      {trouble ? <p role="alert">{trouble}</p> : null}
      {code ? (
        <div class="code" aria-live="polite">
          <p class="figure">{code.code}</p>
          <p class="quiet">{words.aboard.codeHelp(Math.round(code.valid_s / 60))}</p>
          {code.qr_svg === null ? null : (
            <img alt={words.aboard.qr(code.url)} src={`data:image/svg+xml;base64,${btoa(code.qr_svg)}`} width={240} height={240} />
          )}
        </div>
      ) : null}
    </section>
  );
}
