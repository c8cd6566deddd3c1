import { render } from "preact";
import { App } from "./app";
import { start } from "./live";
import "./style/lights.css";
import "./style/hand.css";
import "./style/shell.css";
import "./style/drawings.css";
import "./style/stay.css";
import "./style/aboard.css";
import "./style/watch.css";

const root = document.getElementById("page");
if (root) render(<App />, root);
void start();
// Absent on a plain network: the page then works only while the boat's computer is in reach.
if ("serviceWorker" in navigator) void navigator.serviceWorker.register("/service-worker.js").catch(() => undefined);
