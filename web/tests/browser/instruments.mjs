// The instruments of a boat that lies still, on a real socket: a sentence of each kind a second, until the wire is cut.
import { createServer } from "node:net";

/** The two digits behind the star: all between dollar and star, exclusive or (NMEA 0183). */
const sentence = (said) => {
  const sum = [...said].reduce((sum, letter) => sum ^ letter.charCodeAt(0), 0);
  return `$${said}*${sum.toString(16).toUpperCase().padStart(2, "0")}\r\n`;
};

const angle = (degrees, wide) => {
  const whole = Math.trunc(Math.abs(degrees));
  const minutes = ((Math.abs(degrees) - whole) * 60).toFixed(5).padStart(8, "0");
  return `${String(whole).padStart(wide, "0")}${minutes}`;
};

export class Instruments {
  /** Of a boat at a place; listens on a port of its own. */
  static async at(latitude, longitude) {
    const instruments = new Instruments();
    instruments.place = [latitude, longitude];
    instruments.wires = new Set();
    instruments.server = createServer((wire) => {
      instruments.wires.add(wire);
      wire.on("close", () => instruments.wires.delete(wire));
      wire.on("error", () => instruments.wires.delete(wire));
    });
    await new Promise((done) => instruments.server.listen(0, "127.0.0.1", done));
    instruments.port = instruments.server.address().port;
    instruments.speaking = setInterval(() => instruments.speak(), 1_000);
    return instruments;
  }

  speak() {
    if (this.cut) return;
    const now = new Date();
    const time = now.toISOString().slice(11, 19).replaceAll(":", "");
    const date = now.toISOString().slice(2, 10).split("-").reverse().join("");
    const [latitude, longitude] = this.place;
    // A receiver is never still to the last digit.
    const trembles = () => (Math.random() - 0.5) * 4e-6;
    const north = `${angle(latitude + trembles(), 2)},${latitude < 0 ? "S" : "N"}`;
    const east = `${angle(longitude + trembles(), 3)},${longitude < 0 ? "W" : "E"}`;
    const said = [
      sentence(`GPGGA,${time},${north},${east},1,11,0.8,2.0,M,48.0,M,,`),
      sentence(`GPRMC,${time},A,${north},${east},0.0,,${date},,,A`),
      sentence(`HEHDT,${(240 + Math.random()).toFixed(1)},T`),
    ].join("");
    for (const wire of this.wires) wire.write(said);
  }

  get feed() {
    return `tcp://127.0.0.1:${this.port}`;
  }

  async stop() {
    clearInterval(this.speaking);
    for (const wire of this.wires) wire.destroy();
    await new Promise((done) => this.server.close(done));
  }
}
