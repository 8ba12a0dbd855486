// The USB host: plugs in, enumerates, and moves the bytes of the serial port, each packet in the time that the bus takes.

const AVAILABLE = 1 << 10;
const FULL = 1 << 15;
const LENGTH = 0x3ff;
const BUFFER_CONTROLS = 0x80;
const BUFFER_CONTROLS_END = 0x100;
const BUS_RESET = 1 << 19;
/** Full speed: 12 Mbit/s; a bulk packet of 64 bytes with its overhead takes 53 microseconds (19 in a frame, USB 2.0, table 5-9). */
const PACKET_NANOS = 53_000;
const PACKET = 64;

const setup = (type, request, value, index, length) =>
  Uint8Array.of(type, request, value & 0xff, value >> 8, index & 0xff, index >> 8, length & 0xff, length >> 8);

export class Cable {
  constructor() {
    /** Whether a program has the port open: only then does a host ask for data. */
    this.open = false;
    this.plugged = false;
    this.toBoard = [];
    this.onBytes = () => {};
    this.sent = 0;
    /** Of the answer to the last request: bytes, and when the first and the last of them came. */
    this.answer = { bytes: 0, first: 0, last: 0 };
    this.strings = {};
    /** Pull the plug after so many bytes. */
    this.unplugAfter = null;
    this.onUnplug = () => {};
  }

  /** A new processor is at the other end. */
  attach(chip) {
    this.chip = chip;
    this.usb = chip.usbCtrl;
    this.armed = new Map();
    this.busy = new Set();
    this.resets = 0;
    this.wanted = null;
    this.steps = null;
    this.endpoints = null;
    this.enabled = false;
    this.usb.DPRAMUpdated = (offset, value) => this.updated(offset, value);
    this.usb.onUSBEnabled = () => {
      this.enabled = true;
      this.reset();
    };
    this.usb.onResetReceived = () => this.enumerate();
  }

  plug() {
    this.plugged = true;
    this.reset();
  }

  unplug() {
    this.plugged = false;
    this.wanted = null;
    this.steps = null;
    this.endpoints = null;
    this.toBoard = [];
    this.onUnplug();
  }

  get ready() {
    return this.endpoints !== null;
  }

  write(bytes) {
    for (const byte of bytes) this.toBoard.push(byte);
    this.poll();
  }

  after(nanos, what) {
    this.chip.clock.createAlarm(what).schedule(nanos);
  }

  reset() {
    if (!this.plugged || !this.enabled) return;
    this.forget();
    this.endpoints = null;
    this.after(10e6, () => {
      this.usb.sieStatus |= BUS_RESET;
      this.usb.sieStatusUpdated();
    });
  }

  /** Whatever was under way is over. */
  forget() {
    this.armed.clear();
    this.busy.clear();
    this.resets++;
  }

  enumerate() {
    if (!this.plugged) return;
    this.forget();
    this.steps = this.conversation();
    this.after(1e6, () => this.step());
  }

  /** What a host does before anybody can open the port. Yields transfers on endpoint 0. */
  *conversation() {
    yield* this.control(setup(0x00, 5, 1, 0, 0));
    const device = yield* this.control(setup(0x80, 6, 0x0100, 0, 18));
    const text = function* (cable, index) {
      const raw = yield* cable.control(setup(0x80, 6, 0x0300 | index, 0x0409, 255));
      return Buffer.from(raw.slice(2)).toString('utf16le');
    };
    this.strings = {
      vendor: device[8] | (device[9] << 8),
      product: yield* text(this, device[15]),
      serial: yield* text(this, device[16]),
    };
    const head = yield* this.control(setup(0x80, 6, 0x0200, 0, 9));
    const all = yield* this.control(setup(0x80, 6, 0x0200, 0, head[2] | (head[3] << 8)));
    yield* this.control(setup(0x00, 9, 1, 0, 0));
    // Terminal ready, to the interface.
    yield* this.control(setup(0x21, 0x22, 3, 0, 0));
    this.endpoints = bulkEndpoints(all);
    this.poll();
  }

  *control(packet) {
    const inward = packet[0] & 0x80;
    const wanted = packet[6] | (packet[7] << 8);
    yield { setup: packet };
    if (!inward) {
      yield { in: true };
      return [];
    }
    const data = [];
    for (;;) {
      const part = yield { in: true };
      data.push(...part);
      if (part.length < PACKET || data.length >= wanted) break;
    }
    yield { out: true };
    return data;
  }

  step(received) {
    if (!this.steps) return;
    const { value, done } = this.steps.next(received);
    if (done) {
      this.steps = null;
      return;
    }
    if (value.setup) {
      this.armed.delete('in0');
      this.armed.delete('out0');
      this.after(PACKET_NANOS, () => {
        if (!this.plugged) return;
        this.usb.sendSetupPacket(value.setup);
        this.step();
      });
    } else {
      this.wanted = value.in ? 'in0' : 'out0';
      this.poll();
    }
  }

  /** The board has touched a buffer's control word. */
  updated(offset, value) {
    if (offset < BUFFER_CONTROLS || offset >= BUFFER_CONTROLS_END || !(value & AVAILABLE)) return;
    const endpoint = (offset - BUFFER_CONTROLS) >> 3;
    const out = (offset & 4) !== 0;
    this.armed.set(`${out ? 'out' : 'in'}${endpoint}`, { endpoint, out, offset });
    this.poll();
  }

  /** Begins whatever transfer both sides are ready for. */
  poll() {
    if (!this.plugged || !this.chip) return;
    if (this.wanted) this.transfer(this.wanted, () => []);
    if (!this.endpoints || !this.open) return;
    this.transfer(`in${this.endpoints.in}`);
    if (this.toBoard.length > 0) this.transfer(`out${this.endpoints.out}`, () => this.toBoard.splice(0, PACKET));
  }

  transfer(name, data) {
    const buffer = this.armed.get(name);
    if (!buffer || this.busy.has(name)) return;
    const { resets } = this;
    this.busy.add(name);
    this.after(PACKET_NANOS, () => {
      // The plug may have come out, or the bus been reset, meanwhile.
      if (!this.plugged || this.resets !== resets) return;
      this.busy.delete(name);
      if (!this.armed.has(name)) return;
      this.armed.delete(name);
      const bytes = buffer.out ? this.deliver(buffer, data()) : this.fetch(buffer);
      if (name === this.wanted) {
        this.wanted = null;
        this.step(bytes);
      } else if (buffer.out) this.answer = { bytes: 0, first: 0, last: 0 };
      else this.arrived(bytes);
      this.poll();
    });
  }

  arrived(bytes) {
    const now = this.chip.clock.nanos;
    if (this.answer.bytes === 0) this.answer.first = now;
    this.answer.last = now;
    this.answer.bytes += bytes.length;
    this.sent += bytes.length;
    if (this.unplugAfter !== null && this.sent >= this.unplugAfter) {
      this.unplugAfter = null;
      this.unplug();
    } else this.onBytes(bytes);
  }

  fetch({ endpoint, offset }) {
    const view = this.chip.usbDPRAMView;
    const control = view.getUint32(offset, true);
    const at = this.usb.getEndpointBufferOffset(endpoint, false);
    const bytes = this.chip.usbDPRAM.slice(at, at + (control & LENGTH));
    view.setUint32(offset, control & ~(AVAILABLE | FULL), true);
    this.usb.indicateBufferReady(endpoint, false);
    return bytes;
  }

  deliver({ endpoint, offset }, bytes) {
    const view = this.chip.usbDPRAMView;
    const control = view.getUint32(offset, true);
    this.chip.usbDPRAM.set(bytes, this.usb.getEndpointBufferOffset(endpoint, true));
    view.setUint32(offset, (control & ~(AVAILABLE | LENGTH)) | FULL | bytes.length, true);
    this.usb.indicateBufferReady(endpoint, true);
    return bytes;
  }
}

/** The two bulk endpoints in a configuration. */
function bulkEndpoints(descriptors) {
  const found = {};
  for (let at = 0; at < descriptors.length; at += descriptors[at]) {
    const bulk = descriptors[at + 1] === 5 && (descriptors[at + 3] & 3) === 2;
    if (bulk) found[descriptors[at + 2] & 0x80 ? 'in' : 'out'] = descriptors[at + 2] & 0xf;
  }
  return found;
}
