import { useEffect, useState } from "preact/hooks";
import { send } from "../api";
import { start } from "../live";
import { words } from "../words";

/** A device that the boat does not know yet. A drawing that was photographed brings its token behind the #. */
export function Pair() {
  // Read once: it is taken out of the bar at once, and the form is drawn again at every letter.
  const [token] = useState(() => /^#([0-9a-f]{32})$/.exec(location.hash)?.[1]);
  const [code, setCode] = useState("");
  const [name, setName] = useState("");
  const [trouble, setTrouble] = useState<string | null>(null);
  const pair = async () => {
    try {
      await send("POST", "/pair", { ...(token ? { token } : { code: code.replace(/\D/g, "") }), name: name.trim() });
      history.replaceState(null, "", "/");
      await start();
    } catch (error) {
      setTrouble(error instanceof Error ? error.message : String(error));
    }
  };
  useEffect(() => {
    // A token in the bar of addresses is in nobody's interest.
    if (token) history.replaceState(null, "", "/pair");
  }, []);
  return (
    <form
      class="document"
      onSubmit={(event) => {
        event.preventDefault();
        void pair();
      }}
    >
      <h1>{words.pair.title}</h1>
      <p>{token ? "" : words.pair.help}</p>
      <div class="fields">
        {token ? null : (
          <label class="field">
            {words.pair.code}
            <input value={code} inputMode="numeric" autocomplete="one-time-code" onInput={(event) => setCode(event.currentTarget.value)} />
          </label>
        )}
        <label class="field">
          {words.pair.name}
          <input value={name} placeholder={words.pair.nameHint} onInput={(event) => setName(event.currentTarget.value)} />
        </label>
      </div>
      {trouble ? (
        <p class="problems" role="alert">
          {trouble}
        </p>
      ) : null}
      <p class="doings">
        <button type="submit">{words.pair.send}</button>
      </p>
    </form>
  );
}
