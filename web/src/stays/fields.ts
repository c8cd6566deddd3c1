// The stay file's tables as the page edits them: docs/files.md in the order in which a crew thinks of them.
import type { Section } from "../parts/fields";

export const STAY: readonly Section[] = [
  {
    title: "Where and when",
    table: "stay",
    fields: [
      { key: "name", label: "Name of the berth", kind: "text", wanted: true },
      { key: "vessel", label: "Vessel", kind: "choice", wanted: true },
      { key: "position", label: "Where the anchor is to lie", kind: "text", hint: "33°58.200'N 120°58.000'W", wanted: true },
      { key: "from", label: "From", kind: "text", hint: "2026-08-14T16:00:00", wanted: true },
      { key: "to", label: "To", kind: "text", hint: "2026-08-15T10:00:00", wanted: true },
      { key: "zone", label: "Clock of these times", kind: "text", hint: "America/Los_Angeles" },
    ],
  },
  {
    title: "Anchor and rode",
    table: "stay",
    fields: [
      { key: "anchor", label: "Anchor", kind: "choice" },
      { key: "rode", label: "Rode", kind: "choice" },
      { key: "snubber", label: "Snubber", kind: "choice" },
      { key: "veered", label: "Rode out, if you choose it", hint: "40 m" },
      {
        key: "arrangement",
        label: "Arrangement",
        kind: "choice",
      },
    ],
  },
  {
    title: "Water",
    table: "depth",
    help: "Either the charted depth, or what the sounder showed and when.",
    fields: [
      { key: "charted", label: "Charted depth", hint: "5.2 m" },
      { key: "sounding.reading", label: "Sounder reading", hint: "6.1 m" },
      { key: "sounding.at", label: "Read at", kind: "text" },
      { key: "slope", label: "Steepest slope", hint: "1 deg" },
      { key: "uphill", label: "Rises towards", hint: "345" },
    ],
  },
  {
    title: "Ground",
    table: "ground",
    fields: [
      { key: "nature", label: "Nature", kind: "list", hint: "sand, mud" },
      { key: "quality", label: "Quality", kind: "list", hint: "fine" },
      { key: "weed", label: "Weed", kind: "choice" },
      { key: "forbidden", label: "Forbidden or foul, because", kind: "text" },
    ],
  },
  {
    title: "Tide",
    table: "tide",
    help: "A station, still water, or the highs and lows of a table.",
    fields: [
      { key: "station", label: "Station", kind: "text", hint: "noaa/9411340" },
      { key: "still", label: "No tide here", kind: "yes" },
      { key: "datum", label: "Heights above", kind: "text" },
      { key: "residual", label: "May differ by", hint: "0.15 m" },
      { key: "pressure", label: "Pressure", hint: "1012 hPa" },
    ],
    within: [
      {
        title: "Highs and lows",
        table: "table",
        many: "turn",
        fields: [
          { key: "at", label: "At", kind: "text" },
          { key: "height", label: "Height", hint: "4.2 m" },
          { key: "kind", label: "Kind", kind: "choice" },
        ],
      },
    ],
  },
  {
    title: "Stream",
    table: "stream",
    fields: [
      { key: "none", label: "No stream here", kind: "yes" },
      { key: "station", label: "Station", kind: "text" },
    ],
    within: [
      {
        title: "Stream by the hour",
        table: "table",
        many: "line",
        fields: [
          { key: "at", label: "At", kind: "text" },
          { key: "speed", label: "Speed", hint: "0.5 kn" },
          { key: "towards", label: "Sets towards", hint: "210" },
        ],
      },
    ],
  },
  {
    title: "Wind",
    table: "wind",
    help: "Ten-minute mean and gust at 10 m, as the forecast tells them; or a forecast file.",
    fields: [
      { key: "exposure", label: "Exposure", kind: "choice" },
      { key: "forecast", label: "Forecast file", kind: "text" },
    ],
    within: [
      {
        title: "Wind by the hour",
        table: "table",
        many: "line",
        fields: [
          { key: "at", label: "At", kind: "text", wanted: true },
          { key: "from", label: "From", hint: "310" },
          { key: "mean", label: "Mean", hint: "12 kn", wanted: true },
          { key: "gust", label: "Gust", hint: "20 kn" },
        ],
      },
    ],
  },
  {
    title: "Sea",
    table: "sea",
    fields: [{ key: "depth", label: "Depth over the fetch", hint: "25 m" }],
    within: [
      {
        title: "Fetch by sector, clockwise",
        table: "fetch",
        many: "sector",
        fields: [
          { key: "from", label: "From", hint: "100" },
          { key: "to", label: "To", hint: "170" },
          { key: "length", label: "Open water", hint: "9 km" },
        ],
      },
    ],
  },
  {
    title: "Dangers",
    table: "danger",
    many: "danger",
    fields: [
      { key: "name", label: "Name", kind: "text", wanted: true },
      { key: "position", label: "Position", kind: "text" },
      { key: "range", label: "or range", hint: "120 m" },
      { key: "bearing", label: "and bearing from the anchor", hint: "75" },
      { key: "radius", label: "Radius", hint: "8 m" },
    ],
  },
  {
    title: "Neighbours",
    table: "neighbour",
    many: "neighbour",
    help: "What is left out is guessed on the unfavourable side, and the sheet says so.",
    fields: [
      { key: "name", label: "Name", kind: "text", wanted: true },
      { key: "range", label: "Range", hint: "120 m" },
      { key: "bearing", label: "Bearing", hint: "75" },
      { key: "observed_at", label: "Seen at", kind: "text" },
      { key: "length", label: "Length", hint: "12 m" },
      { key: "rode", label: "Rode out", hint: "40 m" },
      {
        key: "kind",
        label: "Lies to",
        kind: "choice",
      },
      { key: "hull", label: "Hull", kind: "choice" },
    ],
  },
  {
    title: "What the set proved",
    table: "set",
    fields: [
      { key: "astern_rpm", label: "Revolutions astern", hint: "2000 rpm" },
      { key: "thrust", label: "or pull astern", hint: "150 daN" },
      { key: "at", label: "At", kind: "text" },
      { key: "wind", label: "Wind then", hint: "8 kn" },
      { key: "bearing", label: "Anchor to boat", hint: "135" },
      { key: "held", label: "Held for", hint: "60 s" },
      { key: "veered", label: "Rode out then", hint: "40 m" },
      { key: "creep", label: "Crept", hint: "0 m" },
    ],
  },
  {
    title: "What the dive saw",
    table: "dive",
    fields: [
      { key: "seen", label: "Seen", kind: "text", hint: "flukes, scar 2 m, sand" },
      { key: "at", label: "At", kind: "text" },
    ],
  },
  {
    title: "Limits between the words",
    table: "limits",
    fields: [
      { key: "chance_refuse", label: "Do not lie: chance of dragging above", hint: "5 %" },
      { key: "chance_care", label: "With care: above", hint: "1 %" },
      { key: "under_keel_refuse", label: "Do not lie: water under the keel below", hint: "0.3 m" },
      { key: "under_keel_care", label: "With care: below", hint: "0.8 m" },
      { key: "room_refuse", label: "Do not lie: room below", hint: "5 m" },
      { key: "room_care", label: "With care: below", hint: "one length" },
      { key: "part_care_share", label: "With care: a part above this share", hint: "0.5" },
    ],
  },
];
