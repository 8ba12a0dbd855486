// A 16-bit I2C converter with four inputs: two thermistor dividers, their supply, and one that is not used.

const ADDRESS = 0x48;
const CONVERSION = 0;
const CONFIGURATION = 1;
const START = 0x8000;
/** One conversion at 128 a second. */
const CONVERSION_NANOS = 7.8e6;
/** A byte and its acknowledgement at 400 kbit/s. */
const BYTE_NANOS = 22_500;

export class Converter {
  constructor() {
    // 3.3 V in a range of 4.096 V, and two thermistors at 25 degrees C.
    this.inputs = [13_200, 13_200, 26_400, 0];
    this.silent = false;
    /** Holds the bus, as a shorted lead does. */
    this.stuck = false;
    this.configuration = 0x8583;
    this.result = 0;
    this.readyAt = 0;
  }

  /** Answers on a bus; every step takes its time, for the driver waits on it. */
  attach(bus, clock) {
    this.clock = clock;
    this.readyAt = 0;
    let pointer = CONVERSION;
    let written = [];
    let reading = 0;
    const later = (what) => {
      const alarm = clock.createAlarm(what);
      alarm.schedule(BYTE_NANOS);
    };
    bus.onStart = () => {
      if (!this.stuck) later(() => bus.completeStart());
    };
    bus.onConnect = (address) => {
      written = [];
      reading = 0;
      later(() => bus.completeConnect(address === ADDRESS && !this.silent));
    };
    bus.onWriteByte = (byte) => {
      if (written.push(byte) === 1) pointer = byte;
      if (written.length === 3 && pointer === CONFIGURATION) this.configure((written[1] << 8) | written[2]);
      later(() => bus.completeWrite(true));
    };
    bus.onReadByte = () => {
      const value = this.register(pointer);
      const byte = reading++ % 2 === 0 ? value >> 8 : value & 0xff;
      later(() => bus.completeRead(byte));
    };
    bus.onStop = () => later(() => bus.completeStop());
  }

  configure(value) {
    this.configuration = value;
    if (!(value & START)) return;
    // Multiplexer 4 to 7: one input against ground.
    const channel = (value >> 12) & 7;
    if (this.clock.nanos < this.readyAt) return;
    // The differential inputs are not wired, but a driver that writes settings starts a conversion of one.
    this.result = channel < 4 ? 0 : this.inputs[channel - 4];
    this.readyAt = this.clock.nanos + CONVERSION_NANOS;
  }

  register(pointer) {
    if (pointer === CONVERSION) return this.result & 0xffff;
    const ready = this.clock.nanos >= this.readyAt;
    return (this.configuration & ~START) | (ready ? START : 0);
  }
}
