// Every English word of the page, in one place. Another language is another object of the same shape.
export const words = {
  name: "Windrode",
  rooms: { stays: "Stays", watch: "Watch", aboard: "Aboard" },
  roomsLabel: "Rooms",
  lights: { day: "Day", sun: "Sun", night: "Night" },
  light: "Light",
  boatTime: (time: string) => `${time} aboard`,
  faster: (speed: number) => `${speed} times faster than life`,
  stale: {
    word: "STALE",
    since: (time: string, seconds: number) => `Nothing heard from the boat for ${seconds} s. Her last word was at ${time}.`,
    never: (seconds: number) => `Nothing heard from the boat for ${seconds} s, since this page was opened.`,
    mend: "What is shown is old. See to the boat herself: her computer, its power, the network.",
  },
  asking: "Asking the boat …",
};
