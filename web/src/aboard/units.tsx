// The units that this device reads: as the vessel has them, or as whoever holds it would rather.
import { get } from "../api";
import { at } from "../parts/paths";
import { choose, chosen, takeVessels, UNITS, vessels, type CrewUnits } from "../units";
import { words } from "../words";

/** The units of a vessel; of the one that was written last where none is named. */
export async function readVessel(id?: string): Promise<void> {
  try {
    const last = async () => (await get<{ vessels: { id: string; changed: string }[] }>("/vessels")).vessels.sort((a, b) => b.changed.localeCompare(a.changed))[0]?.id;
    const which = id ?? (await last());
    if (which === undefined) return;
    const { form } = await get<{ form: Record<string, unknown> | null }>(`/vessels/${encodeURIComponent(which)}`);
    takeVessels(form && at(form, "crew"));
  } catch {
    // The usual units stand.
  }
}

export function Units() {
  return (
    <section aria-labelledby="units">
      <h2 id="units">{words.units.title}</h2>
      <p class="quiet">{words.units.help}</p>
      <div class="fields">
        {(Object.keys(UNITS) as (keyof CrewUnits)[]).map((kind) => (
          <label class="field" key={kind}>
            {words.units.kinds[kind]}
            <select value={chosen.value[kind] ?? ""} onChange={(event) => choose(kind, event.currentTarget.value || null)}>
              <option value="">{words.units.asVessel(words.units.names[vessels.value[kind]] ?? vessels.value[kind])}</option>
              {UNITS[kind].map((unit) => (
                <option key={unit} value={unit}>
                  {words.units.names[unit] ?? unit}
                </option>
              ))}
            </select>
          </label>
        ))}
      </div>
    </section>
  );
}
