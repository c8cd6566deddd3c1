// The vessel file's tables as the page edits them.
import type { Field, Section } from "../parts/fields";

const STRETCH: readonly Field[] = [
  { key: "length", label: "Length", hint: "50 m", wanted: true },
  { key: "chain", label: "Chain", hint: "10 mm" },
  { key: "grade", label: "Grade", kind: "choice" },
  { key: "standard", label: "Standard", kind: "choice" },
  { key: "rope", label: "or rope", kind: "choice" },
  { key: "diameter", label: "Diameter", hint: "14 mm" },
  { key: "construction", label: "Lay", kind: "choice" },
  { key: "ends", label: "Ends", kind: "choice" },
  { key: "breaking_load", label: "Breaking load, if known", hint: "40 kN" },
  { key: "working_load", label: "Working load, if known", hint: "10 kN" },
];

export const VESSEL: readonly Section[] = [
  { title: "Name", table: "vessel", fields: [{ key: "name", label: "Her name", kind: "text", wanted: true }] },
  {
    title: "Hull",
    table: "hull",
    fields: [
      { key: "kind", label: "Kind", kind: "choice", wanted: true },
      { key: "length_overall", label: "Length over all", hint: "12 m", wanted: true },
      { key: "waterline_length", label: "Waterline", hint: "10.8 m", wanted: true },
      { key: "beam", label: "Beam", hint: "3.9 m", wanted: true },
      { key: "draught", label: "Draught", hint: "1.9 m", wanted: true },
      { key: "canoe_draught", label: "Draught without keel", hint: "0.6 m", wanted: true },
      { key: "displacement", label: "Displacement", hint: "9500 kg", wanted: true },
      { key: "roller_height", label: "Bow roller above water", hint: "1.3 m", wanted: true },
    ],
  },
  {
    title: "Windage",
    table: "windage",
    help: "What is left out is estimated by kind and length, and marked assumed.",
    fields: [
      { key: "drag_area", label: "Drag area head to wind", hint: "7.5 m2" },
      { key: "spread", label: "May be out by a factor of", hint: "1.25" },
      { key: "beam_ratio", label: "Beam on over head on", hint: "2.6:1" },
      { key: "centroid", label: "Height of its centre", hint: "3 m" },
    ],
  },
  {
    title: "Antenna and sounder",
    table: "",
    fields: [
      { key: "antenna.aft_of_roller", label: "Antenna aft of the bow roller", hint: "9 m" },
      { key: "antenna.to_starboard", label: "Antenna to starboard", hint: "0 m" },
      { key: "sounder.reads", label: "Sounder reads", kind: "choice" },
      { key: "sounder.transducer_depth", label: "Transducer below the surface", hint: "0.5 m" },
    ],
  },
  {
    title: "Engine and propeller",
    table: "engine",
    fields: [
      { key: "power", label: "Power at rated revolutions", hint: "40 hp" },
      { key: "rated_rpm", label: "Rated revolutions", hint: "3000 rpm" },
      { key: "gear_ratio", label: "Gear", hint: "2.6:1" },
      { key: "count", label: "Engines", hint: "1" },
      {
        key: "propeller.kind",
        label: "Propeller",
        kind: "choice",
      },
      { key: "propeller.diameter", label: "Diameter", hint: "18 in" },
      { key: "propeller.pitch", label: "Pitch", hint: "13 in" },
      { key: "propeller.blades", label: "Blades", hint: "3" },
      { key: "propeller.area_ratio", label: "Blade area over disc", hint: "0.5" },
      { key: "measured_astern.pull", label: "Pull astern, measured", hint: "180 daN" },
      { key: "measured_astern.rpm", label: "at", hint: "2200 rpm" },
    ],
  },
  {
    title: "Anchors",
    table: "anchor",
    many: "anchor",
    fields: [
      { key: "name", label: "Name", kind: "text", wanted: true },
      { key: "class", label: "Class", kind: "choice", wanted: true },
      { key: "mass", label: "Mass", hint: "20 kg", wanted: true },
    ],
  },
  {
    title: "Rodes",
    table: "rode",
    many: "rode",
    fields: [
      { key: "name", label: "Name", kind: "text", wanted: true },
      { key: "marks.every", label: "A mark every", hint: "10 m" },
      { key: "marks.looks", label: "The marks look", kind: "list", hint: "red, white, blue" },
    ],
    within: [{ title: "Stretches, from the anchor up", table: "stretch", many: "stretch", fields: STRETCH }],
  },
  {
    title: "Shackles and connectors",
    table: "connector",
    many: "connector",
    fields: [
      { key: "name", label: "Name", kind: "text", wanted: true },
      {
        key: "joins",
        label: "Joins",
        kind: "choice",
        wanted: true,
      },
      { key: "rode", label: "Of the rode", kind: "text" },
      { key: "shackle", label: "Bow shackle", hint: "10 mm" },
      { key: "working_load", label: "Working load", hint: "10 kN" },
      { key: "breaking_load", label: "Breaking load", hint: "40 kN" },
    ],
  },
  {
    title: "Snubbers",
    table: "snubber",
    many: "snubber",
    fields: [
      { key: "name", label: "Name", kind: "text", wanted: true },
      { key: "legs", label: "Legs", kind: "choice", wanted: true },
      { key: "spread", label: "Spread of a bridle", hint: "3 m" },
      { key: "height", label: "Made fast above the water", hint: "1.2 m", wanted: true },
      ...STRETCH.filter((it) => !["chain", "grade", "standard"].includes(it.key)),
    ],
  },
  {
    title: "Cleat and windlass",
    table: "",
    fields: [
      { key: "cleat.name", label: "Cleat", kind: "text" },
      { key: "cleat.working_load", label: "Cleat's working load", hint: "15 kN", wanted: true },
      { key: "cleat.breaking_load", label: "Cleat's breaking load", hint: "30 kN" },
      { key: "windlass.name", label: "Windlass", kind: "text" },
      { key: "windlass.working_load", label: "Windlass holds", hint: "10 kN" },
      { key: "windlass.pull", label: "Windlass pulls", hint: "700 daN" },
    ],
  },
  {
    title: "Units that the crew read",
    table: "crew",
    fields: [
      { key: "length", label: "Lengths", kind: "choice" },
      { key: "speed", label: "Speeds", kind: "choice" },
      { key: "force", label: "Forces", kind: "choice" },
    ],
  },
];
